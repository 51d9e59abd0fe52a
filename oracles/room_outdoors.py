"""Levels outdoors of a small room, computed a second time by brute force.

Writes crates/sound/tests/reference/room_outdoors.csv: level in each third-octave band for three receivers of a room 5 m by 4 m,
2.6 m high. Faces are cut into a fixed grid of 5 cm whatever the distance, the box is screened by formulas written for a box alone,
and nothing is shared with the Rust code but the standards: EN 12354-4:2000, ISO 9613-1:1993, ISO 9613-2:1996 with the readings of
ISO/TR 17534-3:2015.

Run: python3 oracles/room_outdoors.py
"""

from math import exp, hypot, log10, pi, sqrt
from pathlib import Path

NOMINAL = [25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
           5000, 6300, 8000, 10000]
EXACT = [1000 * 10 ** ((k - 16) / 10) for k in range(27)]
G, CELSIUS, HUMIDITY = 0.6, 10.0, 75.0
GRID = 0.05

level_inside = [90 + 0.2 * k for k in range(27)]
reduction = {
    "wall": [30 + 1.0 * k for k in range(27)],
    "door": [20 + 0.5 * k for k in range(27)],
    "roof": [15 + 1.2 * k for k in range(27)],
    "slot": [5.0] * 27,
}


def lg(x):
    return 10 * log10(x)


def air(f):
    kelvin = CELSIUS + 273.15
    t = kelvin / 293.15
    h = HUMIDITY * 10 ** (-6.8346 * (273.16 / kelvin) ** 1.261 + 4.6151)
    oxygen = 24 + 4.04e4 * h * (0.02 + h) / (0.391 + h)
    nitrogen = t ** -0.5 * (9 + 280 * h * exp(-4.17 * (t ** (-1 / 3) - 1)))
    return 8.686 * f * f * (1.84e-11 * sqrt(t) + t ** -2.5 * (
        0.01275 * exp(-2239.1 / kelvin) / (oxygen + f * f / oxygen)
        + 0.1068 * exp(-3352 / kelvin) / (nitrogen + f * f / nitrogen)))


AIR = [air(f) for f in EXACT]


def ground(k, hs, hr, dp):
    octave = k // 3  # 0: 31.5 Hz, 1: 63 Hz, 2: 125 Hz ...
    q = max(0.0, 1 - 30 * (hs + hr) / dp) if dp > 0 else 0.0

    def end(h):
        near = 1 - exp(-dp / 50)
        if octave <= 1:
            return -1.5
        if octave == 2:
            shape = 1.5 + 3 * exp(-0.12 * (h - 5) ** 2) * near + 5.7 * exp(-0.09 * h * h) * (1 - exp(-2.8e-6 * dp * dp))
        elif octave == 3:
            shape = 1.5 + 8.6 * exp(-0.09 * h * h) * near
        elif octave == 4:
            shape = 1.5 + 14 * exp(-0.46 * h * h) * near
        elif octave == 5:
            shape = 1.5 + 5 * exp(-0.9 * h * h) * near
        else:
            return -1.5 * (1 - G)
        return -1.5 + G * shape

    total = end(hs) + end(hr) - 3 * q * (1 if octave <= 1 else 1 - G)
    if total < 0:  # close by the reflected way is longer than the straight one
        reach = (dp * dp + (hs - hr) ** 2) / (dp * dp + (hs + hr) ** 2)
        total = -lg(1 + (10 ** (-total / 10) - 1) * reach)
    return total


def dz(k, first, between, last, d, side):
    lam = 340 / NOMINAL[k]
    z = first + between + last - d
    c3 = (1 + (5 * lam / between) ** 2) / (1 / 3 + (5 * lam / between) ** 2) if between > 0 else 1
    weather = 1 if side or z <= 0 else exp(-sqrt(first * last * d / (2 * z)) / 2000)
    value = lg(3 + 20 / lam * c3 * z * weather)
    return value if side else min(value, 25 if between > 0 else 20)


def passed(k, tops, sides, agr, d):
    energy = sum(10 ** (-max(0, dz(k, *t, d, False) - max(agr, 0)) / 10) for t in tops)
    energy += sum(10 ** (-dz(k, *s, d, True) / 10) for s in sides)
    return min(1.0, energy) if tops or sides else 1.0


def along(points, source, receiver):
    """First, middle and last length of a way round vertical edges, climbing evenly."""
    plan = [source[:2], *points, receiver[:2]]
    pieces = [hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(plan, plan[1:])]
    stretch = sqrt(1 + ((receiver[2] - source[2]) / sum(pieces)) ** 2)
    return pieces[0] * stretch, sum(pieces[1:-1]) * stretch, pieces[-1] * stretch


def over(edges, source, receiver):
    """First, middle and last length over edges given as places along the plan distance and heights, all in the way."""
    points = [(0, source[2]), *edges, (hypot(receiver[0] - source[0], receiver[1] - source[1]), receiver[2])]
    pieces = [hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(points, points[1:])]
    return pieces[0], sum(pieces[1:-1]), pieces[-1]


def open_way(source, receiver):
    return [], []


def past_fence(source, receiver):
    """A fence along y = -6 from x = -20 to 20, 1.8 m high."""
    part = (-6 - source[1]) / (receiver[1] - source[1])
    height = source[2] + (receiver[2] - source[2]) * part
    assert height < 1.8, "the fence must hide every patch in this case"
    dp = hypot(receiver[0] - source[0], receiver[1] - source[1])
    sides = [along([(x, -6)], source, receiver) for x in (-20, 20)]
    return [over([(part * dp, 1.8)], source, receiver)], sides


def past_box(source, receiver):
    """From the south side or the roof of the box to a receiver north of it."""
    dp = hypot(receiver[0] - source[0], receiver[1] - source[1])
    leave = (4 - source[1]) / (receiver[1] - source[1]) * dp
    if source[2] >= 2.6:
        return [over([(leave, 2.6)], source, receiver)], []
    sides = [along([(x, 0), (x, 4)], source, receiver) for x in (-2.5, 2.5)]
    return [over([(0, 2.6), (leave, 2.6)], source, receiver)], sides


def grid(x, z, y=0.0):
    nx, nz = round((x[1] - x[0]) / GRID), round((z[1] - z[0]) / GRID)
    return [(x[0] + (i + 0.5) * GRID, y, z[0] + (j + 0.5) * GRID) for i in range(nx) for j in range(nz)]


def roof():
    return [(x, y, 2.6) for x, y, _ in ((p[0], p[2], 0) for p in grid((-2.5, 2.5), (0, 4)))]


def slot():
    return [(-1 + (i + 0.5) * 0.01, 0.0, 0.1) for i in range(100)]


def level(parts, ways, receiver):
    sums = [0.0] * 27
    for name, area, points in parts:
        for source in points:
            d = sqrt(sum((a - b) ** 2 for a, b in zip(source, receiver)))
            dp = hypot(source[0] - receiver[0], source[1] - receiver[1])
            tops, sides = ways(source, receiver)
            for k in range(27):
                agr = ground(k, source[2], receiver[2], dp)
                power = level_inside[k] - 6 - reduction[name][k] + lg(area / len(points))
                loss = 20 * log10(d) + 11 + AIR[k] * d + agr - lg(passed(k, tops, sides, agr, d)) - lg(2)
                sums[k] += 10 ** ((power - loss) / 10)
    return [lg(s) for s in sums]


if __name__ == "__main__":
    wall = ("wall", 10.2, grid((-2.5, 2.5), (0, 2.4)))
    door = ("door", 1.8, grid((1.0, 1.9), (0, 2.0)))
    cases = {
        "three_metres": level([wall, door, ("slot", 0.002, slot())], open_way, (0.4, -3.0, 1.5)),
        "behind_fence": level([door], past_fence, (1.0, -12.0, 1.2)),
        "behind_room": level([wall, door, ("roof", 20.0, roof())], past_box, (0.5, 12.0, 1.5)),
    }
    out = Path(__file__).parent.parent / "crates/sound/tests/reference/room_outdoors.csv"
    with out.open("w") as file:
        file.write("# source: oracles/room_outdoors.py, an independent computation; level in dB\n")
        file.write("frequency_hz," + ",".join(cases) + "\n")
        for k in range(27):
            file.write(f"{NOMINAL[k]}," + ",".join(f"{values[k]:.3f}" for values in cases.values()) + "\n")
