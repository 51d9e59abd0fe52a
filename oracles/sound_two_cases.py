"""Two elements and two leaks computed a second time, slowly and plainly.

Writes crates/sound/tests/reference/two_cases.json:

- `filled_double_leaf`: two leaves and a full cavity without bridges, by adaptive integration over the angle;
- `masonry_annex_b`: brick plastered on both sides by ISO 12354-1:2017 Annex B, with the laboratory loss factor of Annex C
  (`laboratory`) and with edges in a building (`in_situ`);
- `slit`: Gomperts and Kihlman (1967), with and without viscosity; `hole`: Wilson and Soroka (1965) with the Bessel and Struve
  functions of scipy.

Nothing is shared with the Rust code but the published equations and the family parameters copied below
(crates/sound/src/family.rs); if those change, change them here and run again.

Run: python3 oracles/sound_two_cases.py
"""

import cmath
import json
from math import cos, log, log10, pi, sin, sqrt
from pathlib import Path

from scipy.integrate import quad
from scipy.special import j1, struve

from free_waves import free_radiation, resonant

RHO, C0 = 1.204, 343.2
Z0 = RHO * C0
MOUNTING_LOSS = 0.0451
FILLED_SPRING_LOSS = 0.144

NOMINAL = [25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
           5000, 6300, 8000, 10000]
CENTRES = [1000 * 10 ** ((k - 16) / 10) for k in range(27)]
STEPS = [10 ** x for x in (-0.04, -0.02, 0.0, 0.02, 0.04)]


def decibel(tau):
    return -10 * log10(tau)


# (a) Filled double leaf: one board of 15 mm, 150 mm of fibre, two boards of 12.5 mm that slip on each other.
WIDTH, HEIGHT, DEPTH = 4.0, 2.5, 0.15
RESISTIVITY, FIBRE = 12_000.0, 24.0
LEAVES = [
    {"mass": 0.015 * 850, "sheets": [(0.015, 850, 3.0e9)]},
    {"mass": 2 * 0.0125 * 700, "sheets": [(0.0125, 700, 2.5e9)] * 2},
]
POISSON, INTERNAL = 0.3, 0.012


def critical_frequency(leaf):
    stiffness = sum(e * t**3 / (12 * (1 - POISSON**2)) for t, _, e in leaf["sheets"])
    return C0**2 / (2 * pi) * sqrt(leaf["mass"] / stiffness)


def leaf_impedance(leaf, f, sine):
    critical = critical_frequency(leaf)
    # Shear makes thick sheets softer: f/fc over (4.05 f t/cL + sqrt(1 + (4.05 f t/cL)^2)).
    slow = max(4.05 * t / sqrt(e / (rho * (1 - POISSON**2))) for t, rho, e in leaf["sheets"]) * f
    ratio = f / critical / (slow + sqrt(1 + slow**2))
    return 2j * pi * f * leaf["mass"] * (1 - ratio**2 * sine**4 * (1 + 1j * (INTERNAL + MOUNTING_LOSS)))


def radiation(f, cosine):
    area = WIDTH * HEIGHT
    k = 2 * pi * f / C0
    a = 2 * area / (2 * (WIDTH + HEIGHT))
    limit = min(1.3 * sqrt(pi / (2 * k * a)), 1.0)
    h = 1 / max(2 / 3 * sqrt(2 * k * a / pi) - 0.124, 0.5)
    g = cosine if cosine >= limit else h - (h / limit - 1) * cosine
    return 1 / sqrt(g**2 + (2 * pi / (k**2 * area)) ** 2)


def fibre(f):
    """Miki with a limp frame: density and bulk modulus, then impedance and wave number with the spring's own loss."""
    y = f / RESISTIVITY
    z = (1 + 0.070 * y**-0.632) - 0.107j * y**-0.632
    k = (1 + 0.109 * y**-0.618) - 0.160j * y**-0.618
    rigid, bulk = RHO * z * k, RHO * C0**2 * z / k
    whole = FIBRE + RHO
    density = (whole * rigid - RHO**2) / (whole + rigid - 2 * RHO)
    shallow = 1 / (1 + (2 * pi * f / C0 * DEPTH) ** 2)
    # Loss of the spring makes it stiffer by a complex factor, and the layer answers it as a bulk modulus.
    bulk *= 1 + 1j * FILLED_SPRING_LOSS * shallow
    return cmath.sqrt(density * bulk), 2 * pi * f * cmath.sqrt(density / bulk)


def double_leaf_tau(f):
    z, k = fibre(f)
    c, s = cmath.cos(k * DEPTH), cmath.sin(k * DEPTH)

    def integrand(theta):
        sine, cosine = sin(theta), cos(theta)
        load = Z0 * radiation(f, cosine)
        z1, z2 = (leaf_impedance(leaf, f, sine) for leaf in LEAVES)
        # Blocked pressure 2 drives the outer leaf; v is the velocity of the inner one.
        pressure = z2 + load
        outer_velocity = c + 1j * s / z * pressure
        total = c * pressure + 1j * z * s + (z1 + load) * outer_velocity
        transmitted = load * abs(2 / total) ** 2
        return 2 * Z0 * transmitted * sine

    return over_angles(f, integrand)


def single_leaf_tau(leaf, f):
    def integrand(theta):
        sine, cosine = sin(theta), cos(theta)
        load = Z0 * radiation(f, cosine)
        return 2 * Z0 * load * abs(2 / (leaf_impedance(leaf, f, sine) + 2 * load)) ** 2 * sine

    return over_angles(f, integrand)


def over_angles(f, integrand):
    limit = min(1.3 * sqrt(pi / (2 * (2 * pi * f / C0) * WIDTH * HEIGHT / (WIDTH + HEIGHT))), 1.0)
    kink = cmath.acos(limit).real
    value, error = quad(integrand, 0, pi / 2, points=[kink] if 0 < kink < pi / 2 else None, limit=1000, epsabs=0,
                        epsrel=1e-8)
    assert error < 1e-6 * value
    return value


def filled_double_leaf(centre):
    """The mean over a band, with what free waves add in each leaf."""
    tau = sum(double_leaf_tau(centre * step) for step in STEPS) / 5
    for leaf in LEAVES:
        alone = sum(single_leaf_tau(leaf, centre * step) for step in STEPS) / 5
        free = resonant(centre, critical_frequency(leaf), leaf["mass"], INTERNAL + MOUNTING_LOSS, WIDTH, HEIGHT, Z0)
        tau *= 1 + free / alone
    return tau


# (b) Masonry: 13 mm plaster, 215 mm brick, 13 mm plaster, as one section.
SHEETS = [(0.013, 1300, 4e9), (0.215, 1800, 10e9), (0.013, 1300, 4e9)]
MASONRY_POISSON, MASONRY_LOSS = 0.2, 0.01
IN_SITU_ABSORPTION = 0.15
STANDARD_C, STANDARD_Z, CEILING_Z = 340.0, 439.0, 399.0


def masonry():
    """Mass, critical frequency and rho cL of the section."""
    plane = [e / (1 - MASONRY_POISSON**2) for _, _, e in SHEETS]
    faces, x = [], 0.0
    for t, _, _ in SHEETS:
        faces.append((x, x + t))
        x += t
    axis = sum(e * (b * b - a * a) / 2 for e, (a, b) in zip(plane, faces)) / sum(e * (b - a) for e, (a, b) in zip(plane, faces))
    stiffness = sum(e * ((b - axis) ** 3 - (a - axis) ** 3) / 3 for e, (a, b) in zip(plane, faces))
    mass = sum(t * rho for t, rho, _ in SHEETS)
    wave = sqrt(12 * stiffness / (mass * x * x))
    return mass, STANDARD_C**2 / (1.8 * wave * x), mass / x * wave


def annex_b(f, loss):
    mass, fc, longitudinal = masonry()
    l1, l2, c = max(WIDTH, HEIGHT), min(WIDTH, HEIGHT), STANDARD_C
    sigma = free_radiation(f, fc, l1, l2)
    k = 2 * pi * f / c
    rest = (-0.964 - (0.5 + l2 / (pi * l1)) * log(l2 / l1) + 5 * l2 / (2 * pi * l1) - 1 / (4 * pi * l1 * l2 * k * k))
    forced = min(max(0.5 * (log(k * sqrt(l1 * l2)) - rest), 0.01), 2.0)
    mass_law = (2 * STANDARD_Z / (2 * pi * f * mass)) ** 2
    edge = 10**0.05
    if f / edge < fc < f * edge:
        tau = mass_law * pi * sigma**2 / (2 * loss)
    elif f > fc:
        tau = mass_law * pi * fc * sigma**2 / (2 * f * loss)
    else:
        tau = mass_law * (2 * forced / (1 - (f / fc) ** 2) ** 2 + pi * fc * sigma**2 / (2 * f * loss))
    ceiling = 20 * log10(longitudinal / (4 * CEILING_Z)) + 10 * log10(loss / 0.02)
    return min(decibel(min(tau, 1.0)), max(ceiling, 0.0))


def masonry_loss(f, in_situ):
    mass, fc, _ = masonry()
    if not in_situ:
        return MASONRY_LOSS + mass / (485 * sqrt(f))
    sigma = free_radiation(f, fc, max(WIDTH, HEIGHT), min(WIDTH, HEIGHT))
    edge = 2 * (WIDTH + HEIGHT) * IN_SITU_ABSORPTION
    return (MASONRY_LOSS + 2 * STANDARD_Z * sigma / (2 * pi * f * mass)
            + STANDARD_C * edge / (pi**2 * WIDTH * HEIGHT * sqrt(f * fc)))


# Leaks.
SLIT_WIDTH, SLIT_DEPTH = 0.002, 0.1
HOLE_DIAMETER, HOLE_DEPTH = 0.02, 0.1
VISCOSITY = 1.81e-5


def slit(f, at_edge, viscous):
    k = 2 * pi * f / C0
    big_k, x = k * SLIT_WIDTH, SLIT_DEPTH / SLIT_WIDTH
    if big_k > 1:
        return 1.0
    n = 0.5 if at_edge else 1.0
    e = (log(8 / big_k) - 0.57722) / pi
    resistance = 0.0
    if viscous:
        poiseuille = 12 * VISCOSITY * SLIT_DEPTH / (SLIT_WIDTH**2 * Z0)
        layers = x * sqrt(2 * VISCOSITY * 2 * pi * f / RHO) / C0
        resistance = sqrt(poiseuille**2 + layers**2)
    both = big_k * (x + 2 * e)
    return 8 * big_k * cos(big_k * e) ** 2 / (2 * n**2 * (
        sin(both) ** 2 / cos(big_k * e) ** 2 + (big_k / n + resistance) ** 2 / 2 * (1 + cos(big_k * x) * cos(both))))


def hole(f):
    k = 2 * pi * f / C0
    z = k * HOLE_DIAMETER
    r0, x0 = 1 - 2 * j1(z) / z, 2 * struve(1, z) / z
    c, s = cos(k * HOLE_DEPTH), sin(k * HOLE_DEPTH)
    return 4 * r0 / (4 * r0**2 * (c - x0 * s) ** 2 + ((r0**2 - x0**2 + 1) * s + 2 * x0 * c) ** 2)


def main():
    mass, critical, _ = masonry()
    out = {
        "filled_double_leaf": [decibel(filled_double_leaf(f)) for f in CENTRES],
        "masonry_mass_kg_m2": mass,
        "masonry_critical_hz": critical,
        "masonry_annex_b": {
            "laboratory": [annex_b(f, masonry_loss(f, False)) for f in NOMINAL],
            "in_situ": [annex_b(f, masonry_loss(f, True)) for f in NOMINAL],
        },
        "slit": {
            "plain_in_the_middle": [slit(f, False, False) for f in CENTRES],
            "viscous_at_an_edge": [slit(f, True, True) for f in CENTRES],
        },
        "hole": [hole(f) for f in CENTRES],
    }
    # Seven digits: more would differ between versions of the libraries.
    text = json.dumps(out, indent=1, default=float)
    rounded = json.loads(text, parse_float=lambda word: float(f"{float(word):.7g}"))
    path = Path(__file__).parent.parent / "crates/sound/tests/reference/two_cases.json"
    path.write_text(json.dumps(rounded, indent=1) + "\n")


if __name__ == "__main__":
    main()
