"""Search for the step of the fixed sample in crates/sound/src/latin_hypercube.rs.

Point i of the first half lies in stratum (i + j h)^-1 mod 509 of coordinate j (that of 0 being 0), a quarter of its width from the
lower end; the second half is the first mirrored, so that every coordinate takes each of 1018 levels once. The correlation of two coordinates depends on the difference of their numbers alone. Each step h is judged by the
worst correlation of the normal numbers made from two coordinates, over ninety coordinates (sixteen groups of build-ups
with five waves each, the source and the way outdoors).

Run: python3 oracles/latin_hypercube_step.py
"""

from statistics import NormalDist

N = 509
COORDINATES = 90

normal = [NormalDist().inv_cdf((k + 0.25) / N) for k in range(N)]
base = [normal[pow(i, N - 2, N)] for i in range(N)]
square = sum(x * x for x in normal)
# The mirrored half gives the same products, so the first half alone holds the correlation.
correlation = [abs(sum(base[i] * base[(i + d) % N] for i in range(N))) / square for d in range(N)]

ranked = sorted((max(correlation[k * h % N] for k in range(1, COORDINATES)), h) for h in range(1, N))
for worst, h in ranked[:4] + ranked[-2:]:
    print(f"h = {h:4d}  worst correlation {worst:.4f}")
