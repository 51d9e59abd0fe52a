"""Optimum of invented choices by CP-SAT, for crates/choose/tests/published_ortools.rs.

One candidate of each element, least cost, every limit kept, every demand held in all but `may_fail` of the draws. Numbers come from
the generator below, which the test repeats, so that only sizes, seeds and results are committed.

    python3 oracles/choose_ortools.py > crates/choose/tests/reference/ortools.json
"""

import json
import time

from ortools.sat.python import cp_model

MASK = (1 << 64) - 1


class Numbers:
    """Knuth's linear congruence (TAOCP vol. 2, 3.3.4), upper bits."""

    def __init__(self, seed):
        self.state = seed

    def below(self, n):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) & MASK
        return (self.state >> 33) % n


def instance(case):
    """Costs, uses and energies, all whole numbers, and what is allowed."""
    numbers = Numbers(case["seed"])
    elements = []
    for _ in range(case["elements"]):
        candidates = []
        for _ in range(case["candidates"]):
            cost = numbers.below(1000)
            uses = [numbers.below(100) + cost // 10 for _ in range(case["limits"])]
            energy = []
            for _ in range(case["rows"]):
                # Better costs more, but for luck; a draw changes all rows of an element somewhat.
                base = 1_000_000 // (20 + cost) * (300 + numbers.below(1400)) // 1000
                energy.append([base * (600 + numbers.below(800)) // 1000 for _ in range(case["draws"])])
            candidates.append((cost, uses, energy))
        elements.append(candidates)
    allowed = []
    for row in range(case["rows"]):
        middle = sum(sorted(c[2][row][0] for c in e)[len(e) // 2] for e in elements)
        allowed.append(middle * case["tight_percent"] // 100)
    most = [sum(max(c[1][at] for c in e) for e in elements) * 60 // 100 for at in range(case["limits"])]
    return elements, allowed, most


def optimum(case):
    elements, allowed, most = instance(case)
    model = cp_model.CpModel()
    take = [[model.new_bool_var("") for _ in e] for e in elements]
    for row in take:
        model.add_exactly_one(row)
    pairs = [(x, c) for row, e in zip(take, elements) for x, c in zip(row, e)]
    for at, bound in enumerate(most):
        model.add(sum(x * c[1][at] for x, c in pairs) <= bound)
    holds = [model.new_bool_var("") for _ in range(case["draws"])]
    model.add(sum(holds) >= case["draws"] - case["may_fail"])
    for row, bound in enumerate(allowed):
        for draw, held in enumerate(holds):
            model.add(sum(x * c[2][row][draw] for x, c in pairs) <= bound).only_enforce_if(held)
    model.minimize(sum(x * c[0] for x, c in pairs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = 120
    began = time.time()
    status = solver.solve(model)
    seconds = round(time.time() - began, 3)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE), solver.status_name(status)
    return (int(solver.objective_value) if status == cp_model.OPTIMAL else None), seconds


def main():
    sizes = [
        # elements, candidates, limits, rows, draws, may_fail, tight_percent
        (6, 20, 2, 2, 1, 0, 60),
        (8, 20, 2, 3, 1, 0, 50),
        (8, 40, 3, 4, 1, 0, 60),
        (10, 30, 2, 4, 1, 0, 45),
        (10, 40, 3, 6, 1, 0, 70),
        (12, 40, 3, 4, 1, 0, 55),
        (12, 60, 2, 8, 1, 0, 60),
        (14, 40, 3, 6, 1, 0, 50),
        (16, 30, 2, 3, 1, 0, 40),
        (8, 20, 1, 1, 1, 0, 5),
        (6, 12, 2, 1, 9, 1, 60),
        (8, 15, 1, 2, 10, 1, 55),
        (8, 20, 2, 1, 20, 2, 60),
        (10, 15, 1, 2, 20, 2, 65),
    ]
    cases = []
    for seed, (elements, candidates, limits, rows, draws, may_fail, tight) in enumerate(sizes, start=1):
        case = {
            "seed": seed, "elements": elements, "candidates": candidates, "limits": limits, "rows": rows,
            "draws": draws, "may_fail": may_fail, "tight_percent": tight,
        }
        case["cost"], case["oracle_seconds"] = optimum(case)
        cases.append(case)
    print(json.dumps(cases, indent=1))


if __name__ == "__main__":
    main()
