"""Free bending waves below the critical frequency, by ISO 12354-1:2017 Annex B, in plain Python: shared by the scripts beside it.

Nothing is shared with the Rust code but the published equations.
"""

from math import log, pi, sqrt

STANDARD_C, STANDARD_Z = 340.0, 439.0


def free_radiation(f, fc, width, height):
    """Radiation factor of free waves on a baffled plate, 1e-6 to 2."""
    l1, l2, c = max(width, height), min(width, height), STANDARD_C
    above = 1 / sqrt(1 - fc / f) if f > fc else float("inf")
    small = 4 * l1 * l2 * (f / c) ** 2
    strip = sqrt(2 * pi * f * (l1 + l2) / (16 * c))
    first = c * c / (4 * fc) * (1 / l1**2 + 1 / l2**2)
    if first <= fc / 2:
        sigma = above
        if f < fc:
            lam = sqrt(f / fc)
            d1 = ((1 - lam**2) * log((1 + lam) / (1 - lam)) + 2 * lam) / (4 * pi**2 * (1 - lam**2) ** 1.5)
            d2 = 0.0 if f > fc / 2 else (8 * c * c * (1 - 2 * lam**2)
                                         / (fc**2 * pi**4 * l1 * l2 * lam * sqrt(1 - lam**2)))
            sigma = 2 * (l1 + l2) / (l1 * l2) * c / fc * d1 + d2
        if f < first:
            sigma = min(sigma, small)
    elif f < fc and small < strip:
        sigma = small
    elif f > fc and above < strip:
        sigma = above
    else:
        sigma = strip
    return min(max(sigma, 1e-6), 2.0)


def resonant(f, fc, mass, loss, width, height, rho_c):
    """What free waves add to the transmission coefficient of one leaf; fades towards the critical frequency, where forced and free waves
    are the same."""
    if f >= fc:
        return 0.0
    sigma = free_radiation(f, fc, width, height)
    eta = loss + 2 * rho_c * sigma / (2 * pi * f * mass)
    q = (2 * STANDARD_Z / (2 * pi * f * mass)) ** 2
    return q * pi * fc * sigma**2 / (2 * f * eta) * (1 - (f / fc) ** 2)
