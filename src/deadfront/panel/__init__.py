"""The panel stage: where each breaker stands, whether that is right, how even the legs are, how to even them.

Comes in: a HouseAt, the code book, the runs of the circuits stage for their loads.
Goes out: PanelResult of every panel (results/panel.py); on request layouts with proof, and the moves to them in order.
May import: results, job, physics, codebook, worksheet, the ground floor; solvers only in `solve`.
Start reading: rules/case.py, then rules/judge.py, rules/answer.py; solve/curve.py.
"""
