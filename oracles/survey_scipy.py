"""Reference data for crates/survey from scipy.optimize.least_squares and numpy's pseudo-inverse.

Run from the repository root: python3 oracles/survey_scipy.py
Writes crates/survey/tests/reference/{tapes,ties,corners,rooms}_scipy.csv.

Corners by scipy's trust-region least squares from the true shape; covariance against the room as a whole as the
pseudo-inverse of the full normal matrix (the inner-constraint solution), which is another way than the crate's.
"""

import math
import random
from pathlib import Path

import numpy as np
import scipy
import scipy.stats
from scipy.optimize import least_squares

OUT = Path("crates/survey/tests/reference")
HEADER = f"# source: scipy {scipy.__version__}, numpy {np.__version__}; oracles/survey_scipy.py\n"

ROOMS = {
    "five walls": [(0, 0), (5235, 0), (5270, 3868), (1040, 3930), (30, 2990)],
    "L": [(0, 0), (6012, 0), (5987, 2494), (3104, 2511), (3093, 5208), (15, 5189)],
    "T": [(0, 0), (7010, 0), (6992, 2013), (4605, 1996), (4611, 5004), (2488, 4991), (2507, 2009), (-12, 1990)],
    "chimney breast": [(0, 0), (5004, 0), (5017, 4013), (3304, 3991), (3296, 3604), (1797, 3610), (1803, 4002), (-9, 3996)],
    "hexagon": [(0, 0), (3407, 0), (4905, 1804), (4188, 4312), (1493, 4604), (-309, 2497)],
    "quadrilateral": [(0, 0), (4800, 0), (4830, 3610), (-20, 3570)],
}


def lines(n, keep, rng):
    every = [(i, j) for i in range(n) for j in range(i + 1, n)]
    walls = [(i, j) for i, j in every if j == i + 1 or (i == 0 and j == n - 1)]
    rest = [p for p in every if p not in walls]
    rng.shuffle(rest)
    return walls + sorted(rest[: max(n - 3 + keep, 0)])


def tie_value(p, corner, start, end, along):
    """Running dimension along a line, or the distance off it (plus: on its left), by complex numbers."""
    line = complex(*(p[end] - p[start]))
    z = complex(*(p[corner] - p[start])) * line.conjugate() / abs(line)
    return z.real if along else z.imag


def solve(points, tapes, ties=()):
    n = len(points)
    free = [at for at in range(2 * n) if at not in (0, 1, 3)]

    def full(x):
        p = np.zeros(2 * n)
        p[free] = x
        return p.reshape(n, 2)

    def misfit(x):
        p = full(x)
        missed = [(math.dist(p[a], p[b]) - l) / s for a, b, l, s in tapes]
        missed += [(tie_value(p, c, a, b, along) - l) / s for c, a, b, along, l, s in ties]
        return np.array(missed)

    start = np.array(points, float).reshape(-1)[free]
    got = least_squares(misfit, start, xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=1000.0)
    p = full(got.x)
    a = np.zeros((len(tapes) + len(ties), 2 * n))
    for row, (i, j, _, s) in enumerate(tapes):
        u = (p[j] - p[i]) / math.dist(p[i], p[j])
        a[row, 2 * i : 2 * i + 2] = -u / s
        a[row, 2 * j : 2 * j + 2] = u / s
    # Slopes of the ties by central differences: another way than the crate's.
    for row, (c, i, j, along, _, s) in enumerate(ties, len(tapes)):
        for at in range(2 * n):
            step = np.zeros(2 * n)
            step[at] = 1e-2
            step = step.reshape(n, 2)
            a[row, at] = (tie_value(p + step, c, i, j, along) - tie_value(p - step, c, i, j, along)) / 2e-2 / s
    q = np.linalg.pinv(a.T @ a, rcond=1e-11)
    hat = a @ q @ a.T
    return p, q, misfit(got.x), 1 - np.diag(hat)


def main():
    OUT.mkdir(parents=True, exist_ok=True)
    rng = random.Random(77)
    tape_rows, tie_rows, corner_rows, room_rows = [], [], [], []

    def taped(points, chosen, rng):
        tapes = []
        for i, j in chosen:
            length = math.dist(points[i], points[j])
            s = 1.5 + 0.3 * length / 1000
            read = round(length + rng.gauss(0, s))
            tapes.append((i, j, float(read), 1.5 + 0.3 * read / 1000))
        return tapes

    def tied(points, chosen, rng):
        ties = []
        for corner, i, j, along in chosen:
            value = tie_value(np.array(points, float), corner, i, j, along)
            s = 1.5 + 0.3 * abs(value) / 1000
            s = math.hypot(s, 5.0) if along else s
            read = float(round(value + rng.gauss(0, s)))
            own = 1.5 + 0.3 * abs(read) / 1000
            ties.append((corner, i, j, along, read, math.hypot(own, 5.0) if along else own))
        return ties

    def cases():
        for name, points in ROOMS.items():
            for keep in (1, 3, 9):
                yield f"{name} {keep}", points, taped(points, lines(len(points), keep, rng), rng), []
        # Ties: both dimensions of every other corner from the first wall; and from a string between two corners far apart, one
        # dimension here and there, beside all walls and one diagonal.
        own = random.Random(78)
        for name, points in ROOMS.items():
            n = len(points)
            both = [(c, 0, 1, along) for c in range(2, n) for along in (True, False)]
            yield f"{name} wall", points, taped(points, lines(n, 3 - n + 1, own), own), tied(points, both, own)
            far = (0, n // 2)
            some = [(c, *far, c % 2 == 0) for c in range(n) if c not in far]
            yield f"{name} string", points, taped(points, lines(n, 3 - n + 2, own), own), tied(points, some, own)

    for case, points, tapes, ties in cases():
        p, q, w, r = solve(points, tapes, ties)
        n = len(points)
        for (c, i, j, along, l, s), wi, ri in list(zip(ties, w[len(tapes):], r[len(tapes):])):
            tie_rows.append(f"{case};{c};{i};{j};{int(along)};{l!r};{float(wi * s)!r};{float(ri)!r}")
        for (i, j, l, s), wi, ri in zip(tapes, w, r):
            tape_rows.append(f"{case};{i};{j};{l!r};{float(wi * s)!r};{float(ri)!r}")
        for k in range(n):
            lam = np.linalg.eigvalsh(q[2 * k : 2 * k + 2, 2 * k : 2 * k + 2])
            corner_rows.append(
                f"{case};{k};{float(p[k][0])!r};{float(p[k][1])!r};{math.sqrt(lam[1])!r};{math.sqrt(max(lam[0], 0))!r}"
            )
        area = 0.5 * sum(p[k][0] * p[(k + 1) % n][1] - p[(k + 1) % n][0] * p[k][1] for k in range(n))
        g = np.zeros(2 * n)
        for k in range(n):
            d = (p[(k + 1) % n] - p[k - 1]) / 2
            g[2 * k], g[2 * k + 1] = d[1], -d[0]
        chi = float(w @ w)
        dof = len(tapes) + len(ties) - (2 * n - 3)
        chance = float(scipy.stats.chi2.sf(chi, dof))
        room_rows.append(f"{case};{n};{chi!r};{dof};{chance!r};{float(area)!r};{math.sqrt(g @ q @ g)!r}")
    (OUT / "tapes_scipy.csv").write_text(
        HEADER + "case;from;to;reading_mm;residual_mm;redundancy\n" + "\n".join(tape_rows) + "\n")
    (OUT / "ties_scipy.csv").write_text(
        HEADER + "case;corner;from;to;along;reading_mm;residual_mm;redundancy\n" + "\n".join(tie_rows) + "\n")
    (OUT / "corners_scipy.csv").write_text(
        HEADER + "case;corner;x_mm;y_mm;major_mm;minor_mm\n" + "\n".join(corner_rows) + "\n")
    (OUT / "rooms_scipy.csv").write_text(
        HEADER + "case;corners;sum_of_squares;redundancy;chance;area_mm2;area_sd_mm2\n" + "\n".join(room_rows) + "\n")



main()
