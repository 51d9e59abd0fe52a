"""Sheets of twenty invented rooms by CP-SAT, for crates/cutting/tests/reference/room_sheets.csv.

    python3 oracles/sheets_ortools.py        (ortools 9.15 or newer)

Each order is that of one layer of board in a room: strips across it, cut pieces of every length. CP-SAT places the pieces
on as many sheets as they need, any cuts allowed and no piece turned across, 30 s each on 2 workers: its bound is one for
straight cuts too, its count only an aim. A test holds our own plans against both. Kerf is in the sizes.
"""
import pathlib
import random
import time

from ortools.sat.python import cp_model

OUT = pathlib.Path(__file__).resolve().parent.parent / "crates/cutting/tests/reference/room_sheets.csv"
KERF = 3


def order(seed):
    """Pieces (length, width) of one layer: boards along the strips, cut at both ends and at both sides of the room."""
    rng = random.Random(seed)
    length, width = rng.choice([(2400, 1200), (1200, 600), (1800, 900)])
    u, v = rng.randint(2200, 5200), rng.randint(2000, 4200)
    pieces = []
    left = rng.randint(150, width)
    strips = [left]
    while sum(strips) < u:
        strips.append(min(width, u - sum(strips)))
    for at, strip in enumerate(strips):
        if strip < 150:
            continue
        first = rng.randint(300, length) if at % 2 else rng.randint(300, length)
        run = [first]
        while sum(run) < v:
            run.append(min(length, v - sum(run)))
        for piece in run:
            if piece >= 150 and (piece, strip) != (length, width):
                pieces.append((piece, strip))
    return length, width, pieces


def solve(length, width, pieces, sheets):
    """Whether the pieces go on so many sheets: True, False, or None when time ran out."""
    model = cp_model.CpModel()
    L, W = length + KERF, width + KERF
    xs, ys, on = [], [], []
    for k, (l, w) in enumerate(pieces):
        x = model.NewIntVar(0, L * sheets - l - KERF, f"x{k}")
        y = model.NewIntVar(0, W - w - KERF, f"y{k}")
        s = model.NewIntVar(0, sheets - 1, f"s{k}")
        model.Add(x >= L * s)
        model.Add(x + l + KERF <= L * (s + 1))
        xs.append(model.NewFixedSizeIntervalVar(x, l + KERF, f"i{k}"))
        ys.append(model.NewFixedSizeIntervalVar(y, w + KERF, f"j{k}"))
        on.append(s)
    model.AddNoOverlap2D(xs, ys)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 10
    solver.parameters.num_workers = 2
    status = solver.Solve(model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return False if status == cp_model.INFEASIBLE else None


def main():
    lines = [
        "# CP-SAT (ortools), any straight or other cuts, not turned across; kerf 3 mm in the sizes. Made by",
        "# oracles/sheets_ortools.py; seconds are those of the oracle on 2 workers",
        "seed;length;width;least;found;seconds;pieces",
    ]
    for seed in range(1, 21):
        length, width, pieces = order(seed)
        area = sum((l + KERF) * (w + KERF) for l, w in pieces)
        sheets = -(-area // ((length + KERF) * (width + KERF)))
        start = time.time()
        least, found = sheets, None
        while found is None and sheets <= len(pieces):
            answer = solve(length, width, pieces, sheets)
            if answer:
                found = sheets
            else:
                if answer is False and least == sheets:
                    least = sheets + 1
                sheets += 1
        seconds = time.time() - start
        listed = ",".join(f"{l} {w}" for l, w in pieces)
        lines.append(f"{seed};{length};{width};{least};{found};{seconds:.1f};{listed}")
        print(lines[-1][:60], flush=True)
    OUT.write_text("\n".join(lines) + "\n")


main()
