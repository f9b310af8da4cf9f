"""HiGHS as an engine: branch and cut. Its answers are floats such as 4.99999: rounded, and judged again later."""

from __future__ import annotations

from math import ceil, inf
from typing import Any

from deadfront.panel.solve.linear import Cancel, Linear, Solved, Status

NAME = "HiGHS"


def solve_highs(program: Linear, seconds: float, on_start: Any = None) -> Solved:
    """Solve a program with HiGHS within a time.

    Args:
        on_start: Called with a call that stops it at once.
    """
    import highspy

    if program.hopeless():
        return Solved("impossible", engine=NAME)
    highs = _quiet(highspy)
    for name, value in (("threads", 1), ("time_limit", float(seconds)), ("random_seed", 1), ("mip_rel_gap", 0.0),
                        ("mip_abs_gap", 0.5)):  # fmt: skip
        highs.setOptionValue(name, value)
    highs.HandleUserInterrupt = True
    highs.passModel(_model(highspy, program))
    if on_start is not None:
        cancel: Cancel = highs.cancelSolve
        on_start(cancel)
    highs.solve()
    return _answer(highspy, highs, program)


def _quiet(highspy: Any) -> Any:
    """HiGHS without a word on standard output: its usual start prints a line before it can be told not to."""

    class Quiet(highspy.Highs):
        """Told to be quiet before anything else."""

        def __init__(self) -> None:
            super(highspy.Highs, self).__init__()
            self.setOptionValue("output_flag", False)
            kinds = range(int(highspy.highs.cb.HighsCallbackType.kCallbackMax) + 1)
            self.callbacks = [
                highspy.highs.HighsCallback(highspy.highs.cb.HighsCallbackType(each), self) for each in kinds
            ]
            self.enableCallbacks()

    return Quiet()


def _model(highspy: Any, program: Linear) -> Any:
    """The program as HiGHS reads it, row by row."""
    import numpy

    lp = highspy.HighsLp()
    count = len(program.lows)
    lp.num_col_, lp.num_row_ = count, len(program.rows)
    lp.col_cost_ = numpy.array([program.cost.get(var, 0) for var in range(count)], dtype=float)
    lp.col_lower_ = numpy.array(program.lows, dtype=float)
    lp.col_upper_ = numpy.array(program.highs, dtype=float)
    lp.row_lower_ = numpy.array([-inf if low is None else low for _, low, _ in program.rows], dtype=float)
    lp.row_upper_ = numpy.array([inf if high is None else high for _, _, high in program.rows], dtype=float)
    starts, index, factors = [0], list[int](), list[int]()
    for terms, _, _ in program.rows:
        index += [var for var, _ in terms]
        factors += [factor for _, factor in terms]
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = numpy.array(starts, dtype=numpy.int32)
    lp.a_matrix_.index_ = numpy.array(index, dtype=numpy.int32)
    lp.a_matrix_.value_ = numpy.array(factors, dtype=float)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * count
    return lp


def _answer(highspy: Any, highs: Any, program: Linear) -> Solved:
    """Status, values in whole numbers, cost and bound."""
    status, took = highs.getModelStatus(), float(highs.getRunTime())
    if status == highspy.HighsModelStatus.kInfeasible:
        return Solved("impossible", engine=NAME, seconds=took)
    info = highs.getInfo()
    if info.primal_solution_status != 2:  # no solution that holds
        return Solved("not found", (), 0, _bound(info.mip_dual_bound), NAME, took)
    values = tuple(round(value) for value in highs.getSolution().col_value)
    cost = sum(factor * values[var] for var, factor in program.cost.items())
    proven = status == highspy.HighsModelStatus.kOptimal
    told: Status = "proven" if proven else "best found"
    return Solved(told, values, cost, cost if proven else min(cost, _bound(info.mip_dual_bound)), NAME, took)


def _bound(value: float) -> int:
    """A bound as a whole number, never above the true one; nothing below zero."""
    return 0 if value in (inf, -inf) or value != value else max(0, ceil(value - 1e-6))
