"""Two stud walls worked a second time, from the papers, with plain Python and brute force.

Writes crates/sound/tests/reference/two_walls.csv: R in third octaves of
  A  12.5 mm plasterboard / 89 mm empty / two boards, timber studs at 0.6 m
  B  two boards / 200 mm with 150 mm of fibre / two boards, nothing between
both 3.6 m by 2.4 m. No quadrature rule, no peak search: 40 000 angles at equal steps of the cosine. The family numbers are those of
src/family.rs and are repeated here by hand.

Run: python3 oracles/sound_two_walls.py
"""

import cmath
import math
import os

from free_waves import resonant

C, RHO, P0 = 343.2, 1.204, 101325.0
RC = RHO * C
W, H = 3.6, 2.4
MOUNTING, EMPTY_LOSS, FILLED_LOSS, STUD_LOSS = 0.0451, 0.126, 0.144, 0.0497
BAY, RADIATION, SCREW, MASS_SHARE = 3.6, 4.0, 0.0407e-6, 0.23
# Where there are studs, each of the five frequencies of a band has its own direction: squared cosine of its angle to them.
DIRECTIONS = [math.cos(math.pi / 180 * angle) ** 2 for angle in (45, 9, 81, 27, 63)]
ANGLES = 40000


def board(count):
    """Mass, critical frequency, loss factor, shear time of loose boards: 12.5 mm, 690 kg/m3, cL 1810 m/s, eta 0.01."""
    t, rho, cl = 0.0125, 690.0, 1810.0
    mass = count * rho * t
    stiffness = count * rho * cl * cl * t**3 / 12.0
    fc = C * C / (2.0 * math.pi) * math.sqrt(mass / stiffness)
    return mass, fc, 0.01 + MOUNTING, 4.05 * t / cl


def impedance(leaf, f, s2):
    mass, fc, eta, shear = leaf
    slow = shear * f
    ratio = f / (fc * (slow + math.sqrt(1.0 + slow * slow)))
    bend = ratio * ratio * s2 * s2
    return 1j * 2 * math.pi * f * mass * (1.0 - bend * (1.0 + 1j * eta))


def sigma(f, x):
    """Davy (2009)."""
    k = 2 * math.pi * f / C
    area = W * H
    ka = k * 2 * area / (2 * (W + H))
    limit = min(1.0, 1.3 * math.sqrt(math.pi / (2 * ka)))
    h = 1.0 / max(2.0 / 3.0 * math.sqrt(2 * ka / math.pi) - 0.124, 0.5)
    q = 2 * math.pi / (k * k * area)
    g = x if x >= limit else h - (h / limit - 1.0) * x
    return 1.0 / math.sqrt(g * g + q * q)


def layer(z, k, d):
    c, s = cmath.cos(k * d), cmath.sin(k * d)
    return ((c, 1j * z * s), (1j * s / z, c))


def multiply(a, b):
    return tuple(tuple(sum(a[i][n] * b[n][j] for n in range(2)) for j in range(2)) for i in range(2))


def fibre(f, flow, density):
    y = f / flow
    zc = 1 + 0.070 * y**-0.632 - 0.107j * y**-0.632
    kc = 1 + 0.109 * y**-0.618 - 0.160j * y**-0.618
    rigid, bulk = zc * kc * RHO, zc / kc
    total = density + RHO
    limp = (rigid * total - RHO * RHO) / (rigid + total - 2 * RHO)
    rel = limp / RHO
    return RC * cmath.sqrt(rel * bulk), 2 * math.pi * f / C * cmath.sqrt(rel / bulk)


def cavity(f, s2, depth, fill, added, follows):
    k0 = 2 * math.pi * f / C
    shallow = 1.0 / (1.0 + (k0 * depth) ** 2)
    stiff = 1.0 + added / (RHO * C * C / depth) * shallow
    loss = FILLED_LOSS if fill else EMPTY_LOSS
    root = cmath.sqrt(stiff * (1 + 1j * loss * shallow))
    if not fill:
        cosine = cmath.sqrt(1 - s2 * follows - 1j * STUD_LOSS)
        return layer(RC * root / cosine, k0 * cosine / root, depth)
    thickness, flow, density = fill
    z, k = fibre(f, flow, density)
    return multiply(layer(z * root, k / root, thickness), layer(RC * root, k0 / root, depth - thickness))


def transmission(f, outer, inner, depth, fill, spacing, direction):
    """Through air and studs together, and through each leaf alone."""
    added, follows = 0.0, 1.0
    if spacing:
        def strip(leaf):
            b_over_m = (C * C / (2 * math.pi * leaf[1])) ** 2
            return leaf[0] * (2 * math.pi * 0.5 * math.pi * math.sqrt(b_over_m) / spacing**2) ** 2
        a, b = strip(outer), strip(inner)
        added = BAY * a * b / (a + b)
        # Below c/(2b) waves run along the bays only.
        fourth = (f / (C / (2 * spacing))) ** 4
        follows = direction + (1 - direction) * fourth / (1 + fourth)
    total = drive = line = lines = alone_1 = alone_2 = 0.0
    for n in range(ANGLES):
        x = (n + 0.5) / ANGLES
        s2 = 1 - x * x
        load = RC * sigma(f, x)
        z1, z2 = impedance(outer, f, s2), impedance(inner, f, s2)
        t = cavity(f, s2, depth, fill, added, follows)
        p, v = load + z2, 1.0
        p, v = t[0][0] * p + t[0][1] * v, t[1][0] * p + t[1][1] * v
        p += z1 * v
        total += 8 * RC * load / abs(p + load * v) ** 2
        alone_1 += 8 * RC * load / abs(z1 + 2 * load) ** 2
        alone_2 += 8 * RC * load / abs(z2 + 2 * load) ** 2
        drive += (2 * math.pi * f * outer[0] / abs(z1 + 2 * load)) ** 2
        s = math.sqrt(s2)
        line += (2 * math.pi * f * inner[0] / abs(z2 + 2 * load)) ** 2 / s
        lines += 1 / s
    tau = total / ANGLES
    if spacing:
        w = 2 * math.pi * f
        y = [(1 - 1j) / (4 * leaf[0] * C * math.sqrt(f / leaf[1])) for leaf in (outer, inner)]
        stud = MASS_SHARE * 420.0 * 0.045 * depth
        behind = y[1] + 1j * w * SCREW / (1 + 0.05j)
        mobility = y[0] + (1 + 1j * w * stud * y[0]) * behind
        # Well below resonance both leaves move as one, and studs have nothing to carry.
        fibre_depth = fill[0] if fill else 0.0
        spring = 1 / ((depth - fibre_depth) / (RHO * C * C) + fibre_depth / P0) + added
        resonance = math.sqrt(spring * (1 / outer[0] + 1 / inner[0])) / (2 * math.pi)
        fourth = (f / resonance) ** 4
        tau += fourth / (1 + fourth) * (4 * RHO**2 * C * (drive / ANGLES) * (line / lines) * RADIATION / spacing
                / (w**3 * outer[0] ** 2 * inner[0] ** 2 * abs(mobility) ** 2))
    return tau, alone_1 / ANGLES, alone_2 / ANGLES


def main():
    here = os.path.dirname(os.path.abspath(__file__))
    path = os.path.join(here, "..", "crates", "sound", "tests", "reference", "two_walls.csv")
    with open(path, "w", encoding="utf-8") as out:
        out.write("# Written by oracles/sound_two_walls.py: two stud walls by brute force over 40 000 angles, dB\n")
        out.write("band,A,B\n")
        for index in range(3, 24):
            centre = 1000.0 * 10 ** ((index - 16) / 10)
            row = []
            for wall in ("A", "B"):
                tau = alone_1 = alone_2 = 0.0
                outer, inner = board(1 if wall == "A" else 2), board(2)
                for step, direction in zip((-0.04, -0.02, 0.0, 0.02, 0.04), DIRECTIONS):
                    f = centre * 10**step
                    gap = (0.089, None, 0.6) if wall == "A" else (0.2, (0.15, 7000.0, 14.0), None)
                    both, first, second = transmission(f, outer, inner, *gap, direction)
                    tau, alone_1, alone_2 = tau + both / 5, alone_1 + first / 5, alone_2 + second / 5
                for leaf, alone in ((outer, alone_1), (inner, alone_2)):
                    tau *= 1 + resonant(centre, leaf[1], leaf[0], leaf[2], W, H, RC) / alone
                row.append(-10 * math.log10(tau))
            out.write(f"{index},{row[0]:.3f},{row[1]:.3f}\n")


if __name__ == "__main__":
    main()
