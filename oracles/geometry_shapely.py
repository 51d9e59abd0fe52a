"""Reference data for crates/geometry from shapely (GEOS), an independent library.

Run from the repository root: python3 oracles/geometry_shapely.py
Writes crates/geometry/tests/reference/{polygons,pairs,insets,chords}_shapely.csv.
Shapes are generated from fixed seeds; half are made by hand or by rule (rectangles, L, T, U, cross, comb, star).
"""

import math
import random
from pathlib import Path

import shapely
from shapely.geometry import LineString, Polygon
from shapely.affinity import rotate, translate

OUT = Path("crates/geometry/tests/reference")
HEADER = f"# source: shapely {shapely.__version__}, GEOS {shapely.geos_version_string}; oracles/geometry_shapely.py\n"


def star(rng, corners, spread):
    """A ring round a centre at irregular radii: not convex when spread is large, never crossing itself."""
    angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(corners))
    while max((b - a) % (2 * math.pi) for a, b in zip(angles, angles[1:] + angles[:1])) > 2.8:
        angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(corners))
    return [
        (round(3000 + r * math.cos(a), 3), round(2500 + r * math.sin(a), 3))
        for a in angles
        for r in [rng.uniform(2400 * (1 - spread), 2400)]
    ]


def shapes():
    rng = random.Random(20)
    made = [
        ("rectangle", [(0, 0), (5235, 0), (5235, 3869), (0, 3869)]),
        ("skew room", [(0, 0), (4800, 0), (4830, 3610), (-20, 3570)]),
        ("five walls", [(0, 0), (5235, 0), (5270, 3868), (1040, 3930), (30, 2990)]),
        ("L", [(0, 0), (6000, 0), (6000, 2500), (3100, 2500), (3100, 5200), (0, 5200)]),
        ("T", [(0, 0), (7000, 0), (7000, 2000), (4600, 2000), (4600, 5000), (2500, 5000), (2500, 2000), (0, 2000)]),
        ("U", [(0, 0), (6000, 0), (6000, 4000), (4500, 4000), (4500, 1500), (1500, 1500), (1500, 4000), (0, 4000)]),
        ("chimney breast", [(0, 0), (5000, 0), (5000, 4000), (3300, 4000), (3300, 3600), (1800, 3600), (1800, 4000), (0, 4000)]),
        ("cross", [(1500, 0), (3000, 0), (3000, 1500), (4500, 1500), (4500, 3000), (3000, 3000), (3000, 4500), (1500, 4500), (1500, 3000), (0, 3000), (0, 1500), (1500, 1500)]),
        ("triangle", [(0, 0), (4000, 300), (1200, 3300)]),
        ("sharp wedge", [(0, 0), (6000, 500), (6000, 900), (300, 1500)]),
        ("comb", [(0, 0), (5000, 0), (5000, 3000), (4400, 3000), (4400, 600), (3600, 600), (3600, 3000), (2400, 3000), (2400, 600), (1500, 600), (1500, 2800), (0, 2800)]),
        ("waist", [(0, 0), (5000, 0), (5000, 2000), (2600, 2050), (5000, 2400), (5000, 4000), (0, 4000), (0, 2300), (2400, 2055), (0, 1900)]),
    ]
    for corners in (3, 4, 5, 6, 8, 10, 12):
        made.append((f"nearly round {corners}", star(rng, corners, 0.05)))
    for corners in (4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20):
        made.append((f"star {corners}", star(rng, corners, 0.6)))
    for at in range(9):
        base = Polygon(made[at][1])
        turned = translate(rotate(base, 7.3 * (at + 1), origin=(0, 0)), 311.5 * at, -127.25 * at)
        made.append((f"{made[at][0]} turned", [(round(x, 3), round(y, 3)) for x, y in turned.exterior.coords[:-1]]))
    return [(name, ring) for name, ring in made if Polygon(ring).is_valid]


def text(ring):
    return " ".join(f"{x!r},{y!r}" for x, y in ring)


def total(geometry, kind="Polygon"):
    return geometry.area


def main():
    made = shapes()
    OUT.mkdir(parents=True, exist_ok=True)
    with open(OUT / "polygons_shapely.csv", "w") as out:
        out.write(HEADER + "name;corners;area_mm2;perimeter_mm;centroid_x_mm;centroid_y_mm;convex\n")
        for name, ring in made:
            p = Polygon(ring)
            convex = abs(p.convex_hull.area - p.area) < 1e-6
            out.write(f"{name};{text(ring)};{p.area!r};{p.length!r};{p.centroid.x!r};{p.centroid.y!r};{int(convex)}\n")
    with open(OUT / "pairs_shapely.csv", "w") as out:
        out.write(HEADER + "first;second;intersection_mm2;difference_mm2;union_mm2;intersection_parts\n")
        for i in range(len(made)):
            for step in (1, 5, 11):
                j = (i + step) % len(made)
                a, b = Polygon(made[i][1]), Polygon(made[j][1])
                both = a.intersection(b)
                parts = [g for g in getattr(both, "geoms", [both]) if g.area > 1.0]
                out.write(f"{i};{j};{both.area!r};{a.difference(b).area!r};{a.union(b).area!r};{len(parts)}\n")
    with open(OUT / "insets_shapely.csv", "w") as out:
        out.write(HEADER + "polygon;gap_mm;area_mm2;parts\n")
        for i, (name, ring) in enumerate(made):
            for gap in (8, 150, 600):
                # join_style 2: mitre; a limit that no corner here reaches
                inner = Polygon(ring).buffer(-gap, join_style=2, mitre_limit=50)
                parts = [g for g in getattr(inner, "geoms", [inner]) if g.area > 1.0]
                out.write(f"{i};{gap};{inner.area!r};{len(parts)}\n")
    rng = random.Random(41)
    with open(OUT / "chords_shapely.csv", "w") as out:
        out.write(HEADER + "polygon;ax_mm;ay_mm;bx_mm;by_mm;length_inside_mm;parts\n")
        for i, (name, ring) in enumerate(made):
            x0, y0, x1, y1 = Polygon(ring).bounds
            for _ in range(4):
                a = (round(rng.uniform(x0 - 500, x1 + 500), 3), round(y0 - 500, 3))
                b = (round(rng.uniform(x0 - 500, x1 + 500), 3), round(rng.uniform(y0, y1 + 500), 3))
                inside = LineString([a, b]).intersection(Polygon(ring))
                parts = [g for g in getattr(inside, "geoms", [inside]) if g.length > 0.01]
                out.write(f"{i};{a[0]!r};{a[1]!r};{b[0]!r};{b[1]!r};{inside.length!r};{len(parts)}\n")


main()
