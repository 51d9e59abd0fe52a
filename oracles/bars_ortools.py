"""The published stock lengths by CP-SAT, for crates/cutting/tests/reference/bars_ortools.csv.

    python3 oracles/bars_ortools.py        (ortools 9.15 or newer)

Every row of bars.csv as bin packing: pieces assigned to bars, fullest bars first, 15 s each on 2 workers. The bars found, the bound
and the seconds are to be held against our own.
"""
import csv
import pathlib
import time

from ortools.sat.python import cp_model

HERE = pathlib.Path(__file__).resolve().parent.parent / "crates/cutting/tests/reference"
SECONDS = 15


def solve(bar, lengths, most):
    model = cp_model.CpModel()
    used = [model.NewBoolVar(f"u{b}") for b in range(most)]
    on = [[model.NewBoolVar(f"x{i}_{b}") for b in range(most)] for i in range(len(lengths))]
    for row in on:
        model.AddExactlyOne(row)
    for b in range(most):
        model.Add(sum(length * on[i][b] for i, length in enumerate(lengths)) <= bar * used[b])
        if b:
            model.AddImplication(used[b], used[b - 1])
    model.Minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = SECONDS
    solver.parameters.num_workers = 2
    status = solver.Solve(model)
    found = int(solver.ObjectiveValue()) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return found, round(solver.BestObjectiveBound())


def first_fit(bar, lengths):
    room = []
    for length in sorted(lengths, reverse=True):
        for at, left in enumerate(room):
            if left >= length:
                room[at] -= length
                break
        else:
            room.append(bar - length)
    return len(room)


def main():
    with open(HERE / "bars.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter=";"))
    with open(HERE / "bars_ortools.csv", "w", encoding="utf-8") as out:
        out.write("# The rows of bars.csv by CP-SAT (ortools), made by oracles/bars_ortools.py; seconds are those of the oracle on 2 workers,\n")
        out.write(f"# {SECONDS} at most. A count without proof is what it had by then; - where it had none.\n")
        out.write("name;found;bound;seconds\n")
        for row in rows:
            lengths = [int(one) for one in row["lengths"].split()]
            start = time.perf_counter()
            found, bound = solve(int(row["bar"]), lengths, first_fit(int(row["bar"]), lengths))
            seconds = time.perf_counter() - start
            out.write(f"{row['name']};{'-' if found is None else found};{bound};{seconds:.1f}\n")


if __name__ == "__main__":
    main()
