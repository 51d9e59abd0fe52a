"""Sound reduction index of four elements by NumPy arrays: a second hand for the answer, and the pace a vectorised script reaches.

The model is written anew from its published equations; nothing is read from the Rust code but the family parameters, which are
copied below (crates/sound/src/family.rs): if those change, change them here. Leaves by Cremer's impedance, fibre by Miki (1990)
with the limp frame of Panneton (2007), cavities as fluid layers, both faces loaded by the radiation impedance of Davy (2009), point
connections after Davy (2010) with the mobilities of Cremer, Heckl and Petersson, gaps after Gomperts and Kihlman (1967).
Five frequencies a third octave, 90 angles by Gauss and Legendre over the angle; `fine` takes 4000 angles instead.

Run: python3 oracles/element_numpy.py [seconds of timing for each element]

Prints lines of words: `rate <element> <predictions a second>`, `coarse <element> <27 values in dB>`, `fine <element> <27 values>`.
"""

import sys
import time

import numpy as np

from free_waves import resonant

# Air.
RHO, C0, P0 = 1.204, 343.2, 101_325.0
Z0 = RHO * C0
VISCOSITY = 1.81e-5
# Family parameters used here.
MOUNTING_LOSS = 0.0451
# At 500 Hz and 300 kg/m², falling with frequency and with this power of the mass.
MASONRY_EDGE_LOSS, MASONRY_EDGE_POWER, MOST_EDGE_LOSS = 0.0106, 1.79, 0.15
FILLED_SPRING_LOSS = 0.144
EMPTY_SPRING_LOSS = 0.126
REVEAL_ABSORPTION = 0.346
BRIDGE_RADIATION = 4.0
BAY_STIFFNESS = 3.6
CLIP_FREQUENCY_POWER = 0.955
# Residual gap, depth and resistance of a single compression seal in its rebate, and the frequency from which its lip counts.
SEAL_GAP, SEAL_DEPTH, REBATE_RESISTANCE, LIP_HZ = 0.000_5, 0.04, 0.1, 4000.0

CENTRES = 1000.0 * 10.0 ** ((np.arange(27) - 16) / 10)
STEPS = 10.0 ** np.array([-0.04, -0.02, 0.0, 0.02, 0.04])
FREQUENCIES = (CENTRES[:, None] * STEPS).ravel()
ANGLES = 90


def sheet(thickness, density, modulus, poisson=0.3, loss=0.01):
    return {"t": thickness, "rho": density, "e": modulus, "nu": poisson, "loss": loss}


def leaf(*sheets, heavy=False):
    return {"sheets": sheets, "heavy": heavy}


BOARD_12 = sheet(0.0125, 700.0, 2.5e9)
BOARD_15 = sheet(0.015, 850.0, 3.0e9)
OSB = sheet(0.018, 620.0, 4.5e9)
BRICK = sheet(0.215, 1800.0, 10e9, 0.2)
PLASTER = sheet(0.013, 1300.0, 4e9, 0.2)
DOOR = sheet(0.044, 600.0, 5e9)

# Parts outside to inside; a cavity is (depth, [(thickness, flow resistivity, density)]), its fibre on the outer side.
ELEMENTS = {
    "double": {
        "size": (4.0, 2.5),
        "leaves": [leaf(BOARD_12, BOARD_12), leaf(BOARD_15, BOARD_15)],
        "cavities": [(0.1, [(0.06, 9000.0, 20.0)])],
        "clips": {"stiffness": 120e3, "loss": 0.15, "per_m2": 2.4, "bars": 0.6},
    },
    "triple": {
        "size": (4.0, 2.5),
        "leaves": [leaf(OSB), leaf(BOARD_12), leaf(BOARD_15, BOARD_15)],
        "cavities": [(0.15, [(0.1, 9000.0, 20.0)]), (0.075, [(0.075, 12000.0, 30.0)])],
    },
    "masonry": {
        "size": (4.0, 2.5),
        "leaves": [leaf(PLASTER, BRICK, PLASTER, heavy=True)],
        "cavities": [],
    },
    "door": {
        "size": (0.9, 2.0),
        "leaves": [leaf(DOOR)],
        "cavities": [],
        "seal_m": 5.8,
    },
}


def plate(one):
    return one["e"] / (1 - one["nu"] ** 2)


def prepare(element):
    """What does not depend on frequency: mass, critical frequency, constant loss, edge loss at 500 Hz, shear time."""
    ready = []
    for item in element["leaves"]:
        sheets = item["sheets"]
        mass = sum(s["t"] * s["rho"] for s in sheets)
        own = [plate(s) * s["t"] ** 3 / 12 for s in sheets]
        stiffness = sum(own)
        if item["heavy"] and len(sheets) > 1:
            # Plaster keyed to the wall: one section about a common neutral axis.
            top = np.cumsum([0.0] + [s["t"] for s in sheets])
            middle = [top[i] + s["t"] / 2 for i, s in enumerate(sheets)]
            weight = [plate(s) * s["t"] for s in sheets]
            axis = np.dot(weight, middle) / sum(weight)
            stiffness += sum(w * (m - axis) ** 2 for w, m in zip(weight, middle))
        internal = sum(b * s["loss"] for b, s in zip(own, sheets)) / sum(own)
        thickness = sum(s["t"] for s in sheets)
        shear = sum(b * 4.05 * (thickness if item["heavy"] else s["t"]) / np.sqrt(plate(s) / s["rho"])
                    for b, s in zip(own, sheets)) / sum(own)
        edge = MASONRY_EDGE_LOSS * (mass / 300.0) ** -MASONRY_EDGE_POWER if item["heavy"] else 0.0
        ready.append({
            "m": mass,
            "fc": C0 * C0 * np.sqrt(mass / stiffness) / (2 * np.pi),
            "loss": internal if item["heavy"] else internal + MOUNTING_LOSS,
            "edge": edge,
            "shear": shear,
        })
    return ready


def forced_radiation(size, frequency, cosine):
    """Davy (2009): radiation efficiency of a panel forced by a plane wave, for arrays (frequency, angle)."""
    area = size[0] * size[1]
    k = 2 * np.pi * frequency / C0
    ka = k * area / (size[0] + size[1])
    limit = np.minimum(1.3 * np.sqrt(np.pi / (2 * ka)), 1.0)
    h = 1 / np.maximum(2 / 3 * np.sqrt(2 * ka / np.pi) - 0.124, 0.5)
    q = 2 * np.pi / (k * k * area)
    g = np.where(cosine >= limit, cosine, h - (h / limit - 1) * cosine)
    return 1 / np.sqrt(g * g + q * q)


def miki(frequency, resistivity):
    y = frequency / resistivity
    return (1 + (0.070 - 0.107j) * y ** -0.632, 1 + (0.109 - 0.160j) * y ** -0.618)


def limp(frequency, resistivity, density):
    z, k = miki(frequency, resistivity)
    rigid, bulk = z * k * RHO, z / k
    total = density + RHO
    effective = (total * rigid - RHO**2) / (total + rigid - 2 * RHO)
    return np.sqrt(effective / RHO * bulk) * Z0, np.sqrt(effective / RHO / bulk) * 2 * np.pi * frequency / C0


def layer(z, k, d):
    kd = k * d
    return np.cos(kd), 1j * z * np.sin(kd), 1j * np.sin(kd) / z, np.cos(kd)


def chain(first, second):
    a, b, c, d = first
    e, f, g, h = second
    return a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h


def cavity(depth, fills, added, size, frequency, sine2):
    """Fluid layers between two leaves, with the loss and the springs that stand beside the air."""
    k0 = 2 * np.pi * frequency / C0
    shallow = 1 / (1 + (k0 * depth) ** 2)
    stiffening = 1 + added / (RHO * C0 * C0 / depth) * shallow
    loss = FILLED_SPRING_LOSS if fills else EMPTY_SPRING_LOSS
    root = np.sqrt(stiffening * (1 + 1j * loss * shallow))
    if not fills:
        per_area = 2 * (size[0] + size[1]) / (size[0] * size[1])
        lateral = np.minimum(REVEAL_ABSORPTION * per_area / (4 * k0), 1.0)
        cosine = np.sqrt(1 - sine2 - 1j * lateral)
        return layer(Z0 * root / cosine, k0 / root * cosine, depth)
    total, left = None, depth
    for thickness, resistivity, density in fills:
        z, k = limp(frequency, resistivity, density)
        this = layer(z * root, k / root, thickness)
        total = this if total is None else chain(total, this)
        left -= thickness
    if left > 1e-6:
        total = chain(total, layer(Z0 * root, k0 / root, left))
    return total


def seal_gap(frequency):
    """Gomperts and Kihlman (1967) at an edge (n = 1/2), with the resistance of its walls and of the rebate."""
    w, d, n, m = SEAL_GAP, SEAL_DEPTH, 0.5, 8.0
    omega = 2 * np.pi * frequency
    big_k = omega / C0 * w
    narrow = 12 * VISCOSITY * d / (w * w * Z0)
    wide = d / w * np.sqrt(2 * VISCOSITY * omega / RHO) / C0
    resistance = np.hypot(narrow, wide) + REBATE_RESISTANCE
    e = (np.log(8 / big_k) - 0.57722) / np.pi
    x = big_k * d / w
    through = x + 2 * big_k * e
    cos_e = np.cos(big_k * e)
    below = np.sin(through) ** 2 / cos_e**2 + (big_k / n + resistance) ** 2 / 2 * (1 + np.cos(x) * np.cos(through))
    assert np.all(big_k < 0.5)
    return m * big_k * cos_e**2 / (2 * n * n * below)


def reduction_index(element, angles=ANGLES):
    """R in 27 third octaves, dB."""
    node, weight = np.polynomial.legendre.leggauss(angles)
    theta, weight = (node + 1) * np.pi / 4, weight * np.pi / 4
    cosine = np.cos(theta)[None, :]
    sine2 = np.sin(theta)[None, :] ** 2
    # dx of x = cos θ.
    measure = weight[None, :] * np.sqrt(sine2)
    f = FREQUENCIES[:, None]
    omega = 2 * np.pi * f
    size = element["size"]
    leaves = prepare(element)
    clips = element.get("clips")
    sigma = forced_radiation(size, f, cosine)
    load = Z0 * sigma
    impedance = []
    for one in leaves:
        slow = one["shear"] * f
        bending = (f / (one["fc"] * (slow + np.sqrt(1 + slow * slow)))) ** 2 * sine2**2
        eta = one["loss"] + np.minimum(one["edge"] * 500.0 / f, MOST_EDGE_LOSS)
        impedance.append(1j * omega * one["m"] * (1 - bending * (1 + 1j * eta)))
    pressure, velocity = load, np.ones_like(load)
    for place in reversed(range(len(leaves))):
        pressure = pressure + impedance[place] * velocity
        if place:
            depth, fills = element["cavities"][place - 1]
            added = held_by(clips, leaves) if clips else 0.0
            a, b, c, d = cavity(depth, fills, added, size, f, sine2)
            pressure, velocity = a * pressure + b * velocity, c * pressure + d * velocity
    tau = (8 * Z0 * load * measure / np.abs(pressure + load * velocity) ** 2).sum(axis=1)
    tau = tau.reshape(27, 5).mean(axis=1)
    if clips:
        bridged = clip_path(clips, leaves, element["cavities"][0], impedance, load, measure)
        tau = tau + bridged.reshape(27, 5).mean(axis=1)
    for one, z in zip(leaves, impedance):
        alone = (8 * Z0 * load * measure / np.abs(z + 2 * load) ** 2).sum(axis=1).reshape(27, 5).mean(axis=1)
        free = [resonant(c, one["fc"], one["m"], one["loss"] + min(one["edge"] * 500.0 / c, MOST_EDGE_LOSS), *size, Z0) for c in CENTRES]
        tau = tau * (1 + np.array(free) / alone)
    tau = np.minimum(tau, 1.0)
    if "seal_m" in element:
        gap = seal_gap(FREQUENCIES).reshape(27, 5).mean(axis=1) / (1 + (CENTRES / LIP_HZ) ** 2)
        tau = tau + gap * SEAL_GAP * element["seal_m"] / (size[0] * size[1])
    return -10 * np.log10(tau)


def held_by(clips, leaves):
    """Stiffness of clips an area, in series with the leaves between bars: strips b wide, whose first mode is (pi/2) sqrt(B/m)/b^2."""
    strips = []
    for one in leaves[:2]:
        first = np.pi / 2 * (C0 * C0 / (2 * np.pi * one["fc"])) / clips["bars"] ** 2
        strips.append(one["m"] * (2 * np.pi * first) ** 2)
    between = BAY_STIFFNESS * strips[0] * strips[1] / sum(strips)
    return 1 / (1 / (clips["per_m2"] * clips["stiffness"]) + 1 / between)


def clip_path(clips, leaves, gap, impedance, load, measure):
    """Through points: the forced velocity of one leaf pushes the other through a spring; well below resonance both move as one."""
    f = FREQUENCIES
    omega = 2 * np.pi * f
    first, second = leaves
    share = [(measure * np.abs(omega[:, None] * one["m"] / (z + 2 * load)) ** 2).sum(axis=1)
             for one, z in zip(leaves, impedance)]
    compliance = np.maximum(f / 63.0, 1.0) ** -CLIP_FREQUENCY_POWER / clips["stiffness"] / (1 + 1j * clips["loss"])
    own = sum(2 * np.pi * one["fc"] / (8 * one["m"] * C0 * C0) for one in leaves)
    mobility = own + 1j * omega * compliance
    depth, fills = gap
    filled = sum(fill[0] for fill in fills)
    spring = 1 / ((depth - filled) / (RHO * C0 * C0) + filled / P0) + held_by(clips, leaves)
    resonance = np.sqrt(spring * (1 / first["m"] + 1 / second["m"])) / (2 * np.pi)
    fourth = (f / resonance) ** 4
    return fourth / (1 + fourth) * (4 * RHO**2 * clips["per_m2"] * share[0] * share[1] * BRIDGE_RADIATION
            / (np.pi * (omega * first["m"] * second["m"]) ** 2 * np.abs(mobility) ** 2))


def main():
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    for name, element in ELEMENTS.items():
        coarse = reduction_index(element)
        count, start = 0, time.perf_counter()
        while (spent := time.perf_counter() - start) < seconds:
            reduction_index(element)
            count += 1
        print("rate", name, f"{count / spent:.1f}" if spent > 0 else "0")
        print("coarse", name, *(f"{value:.6f}" for value in coarse))
        print("fine", name, *(f"{value:.6f}" for value in reduction_index(element, 4000)))


if __name__ == "__main__":
    main()
