"""What holds in every panel, in plain integers: the case, the judge, evenness, the neutral, moves in order.

Comes in: a house at a step.
Goes out: a PanelCase, Violations in words, Steps of the legs and the neutral, MoveSteps.
May import: results, job, physics, codebook, worksheet, the ground floor.
Start reading: case.py.
"""
