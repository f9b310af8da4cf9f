"""Fault currents and voltage drops of a house, worked in Steps from the transformer outward.

Comes in: the Facts of a house; the runs already answered, for their loads.
Goes out: FaultPoints and Drops, each figure a Step.
May import: facts, results, topology, codebook, job, worksheet, the ground floor.
Start reading: fault_points.py, then segments.py and source.py.
"""
