"""What holds in every plan: the zone, the fewest locks, the ordered procedure, and a check of each plan by itself.

Comes in: a network and the ids of things that the work touches.
Goes out: IsolationPlan, Checks.
May import: results, topology, job, codebook, worksheet, the ground floor.
Start reading: plan.py.
"""
