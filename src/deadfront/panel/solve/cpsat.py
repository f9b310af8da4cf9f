"""CP-SAT as an engine: learning of clauses over whole numbers."""

from __future__ import annotations

from math import ceil
from typing import Any

from deadfront.panel.solve.linear import Linear, Solved, Status

NAME = "CP-SAT"
BIG = 10**9


def solve_cpsat(program: Linear, seconds: float, on_start: Any = None) -> Solved:
    """Solve a program with CP-SAT within a time, with one worker and a fixed seed.

    Args:
        on_start: Called with a call that stops it at once.
    """
    from ortools.sat.python import cp_model

    if program.hopeless():
        return Solved("impossible", engine=NAME)
    model = cp_model.CpModel()
    made = [model.new_int_var(low, high, "") for low, high in zip(program.lows, program.highs, strict=True)]
    for terms, low, high in program.rows:
        total = cp_model.LinearExpr.weighted_sum([made[var] for var, _ in terms], [factor for _, factor in terms])
        model.add_linear_constraint(total, -BIG if low is None else low, BIG if high is None else high)
    costs = list(program.cost.items())
    if costs:
        model.minimize(cp_model.LinearExpr.weighted_sum([made[var] for var, _ in costs], [c for _, c in costs]))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = float(seconds)
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    if on_start is not None:
        on_start(solver.stop_search)
    status = solver.solve(model)
    took = float(solver.wall_time)
    if status == cp_model.INFEASIBLE:
        return Solved("impossible", engine=NAME, seconds=took)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved("not found", engine=NAME, seconds=took)
    values = tuple(int(solver.value(var)) for var in made)
    cost = sum(factor * values[var] for var, factor in costs)
    proven = status == cp_model.OPTIMAL
    told: Status = "proven" if proven else "best found"
    least = cost if proven or not costs else max(0, min(cost, ceil(solver.best_objective_bound - 1e-6)))
    return Solved(told, values, cost, least, NAME, took)
