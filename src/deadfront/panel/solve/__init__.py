"""The fewest moves that bring the legs of a panel within a limit, with proof or gap; solvers load only when called.

Comes in: a PanelCase.
Goes out: CurvePoints whose layouts the judge has passed; the rules that clash where there is none.
May import: panel.rules, results, the ground floor; HiGHS and CP-SAT, each in a file of its own.
Start reading: curve.py, then model.py.
"""
