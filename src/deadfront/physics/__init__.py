"""What nature does: impedances, fault currents, voltage drop, unbalanced flows of a split-phase service, heat.

Comes in: plain numbers with their units in the name.
Goes out: plain numbers and complex phasors; no job, no code.
May import: codebook, worksheet, the ground floor.
Start reading: nodal.py.
"""
