"""Reference beams by an independent finite-element beam solver (PyNiteFEA).

Writes crates/fabric/tests/reference/beams.csv. One row per quantity; forces N, lengths m, down positive for
loads and deflections, sagging moments and upward reactions positive.

    python -m pip install PyNiteFEA && python oracles/beams_pynite.py
"""

import csv
import importlib.metadata
import pathlib

from Pynite import FEModel3D

EI = 1.25e6

# name, length, supports, left built in, right built in, point loads (at, N), spread loads (from, to, N/m)
CASES = [
    ("one span with spread", 3.6, [0.0, 3.6], False, False, [], [(0.0, 3.6, 1005.0)]),
    ("one span with three clips", 3.9, [0.0, 3.9], False, False, [(0.55, 410.0), (1.62, 395.0), (3.05, 430.0)], [(0.0, 3.9, 520.0)]),
    ("one span with part spread", 4.2, [0.0, 4.2], False, False, [], [(0.9, 2.7, 1800.0)]),
    ("two spans with clips in both", 6.3, [0.0, 2.9, 6.3], False, False, [(1.1, 900.0), (4.7, 1400.0), (5.9, 350.0)], [(0.0, 6.3, 600.0)]),
    ("two spans with one loaded", 6.0, [0.0, 3.0, 6.0], False, False, [], [(0.0, 3.0, 1500.0)]),
    ("three spans with alternate", 8.1, [0.0, 2.4, 5.5, 8.1], False, False, [(4.0, 700.0)], [(0.0, 2.4, 900.0), (5.5, 8.1, 900.0)]),
    ("span and overhang", 4.6, [0.0, 3.4], False, False, [(4.6, 800.0)], [(0.0, 4.6, 450.0)]),
    ("overhang at both ends", 5.2, [0.8, 4.1], False, False, [(0.0, 300.0), (2.3, 1200.0)], [(0.0, 5.2, 350.0)]),
    ("built in, free tip", 1.7, [], True, False, [(1.2, 950.0)], [(0.0, 1.7, 400.0)]),
    ("built in and propped", 3.3, [3.3], True, False, [(1.4, 1100.0)], [(0.0, 3.3, 700.0)]),
    ("built in at both ends", 2.8, [], True, True, [(0.9, 1600.0)], [(0.4, 2.0, 1000.0)]),
    ("clip beside a support", 3.0, [0.0, 3.0], False, False, [(0.004, 5000.0), (2.6, 640.0)], []),
]
STEPS = 40


def solve(name, length, supports, left, right, points, spread):
    places = sorted({0.0, length, *supports})
    model = FEModel3D()
    # E I = EI with I = 1e-4 m⁴; the shear modulus does not enter a member without shear deformation.
    model.add_material("timber", EI / 1e-4, EI / 1e-4 / 16, 0.3, 0.0)
    model.add_section("joist", 0.02, 1e-4, 1e-4, 1e-4)
    for i, at in enumerate(places):
        model.add_node(f"N{i}", at, 0.0, 0.0)
        built_in = (at == 0.0 and left) or (at == length and right)
        held = built_in or at in supports
        # Free ends are held against nothing in the plane; everything else out of the plane is held.
        model.def_support(f"N{i}", i == 0, held, True, True, True, built_in)
    model.add_member("M", "N0", f"N{len(places) - 1}", "timber", "joist")
    for at, force in points:
        model.add_member_pt_load("M", "Fy", -force, at)
    for start, end, load in spread:
        model.add_member_dist_load("M", "Fy", -load, -load, start, end)
    model.add_load_combo("one", {"Case 1": 1.0})
    model.analyze(check_statics=False)
    member = model.members["M"]
    rows = []
    for i, at in enumerate(places):
        built_in = (at == 0.0 and left) or (at == length and right)
        if built_in or at in supports:
            rows.append((name, "reaction_n", at, model.nodes[f"N{i}"].RxnFY["one"]))
    for k in range(STEPS + 1):
        at = length * k / STEPS
        # The solver calls a moment that hollows the beam upwards negative.
        rows.append((name, "moment_nm", at, -member.moment("Mz", at, "one")))
        rows.append((name, "deflection_m", at, -member.deflection("dy", at, "one")))
    return rows


def main():
    target = pathlib.Path(__file__).parents[1] / "crates/fabric/tests/reference/beams.csv"
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.open("w", newline="") as file:
        file.write(f"# source: PyNiteFEA {importlib.metadata.version('PyNiteFEA')}, oracles/beams_pynite.py\n")
        file.write(f"# E I = {EI} N m2; SI units; no shear deformation\n")
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["case", "quantity", "at_m", "value"])
        for case in CASES:
            for name, quantity, at, value in solve(*case):
                writer.writerow([name, quantity, f"{at:.6f}", f"{value:.9e}"])


if __name__ == "__main__":
    main()
