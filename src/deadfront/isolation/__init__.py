"""The isolation stage: how each work zone is made dead, what stays live, how power comes back.

Comes in: a job and its house at each step, as networks of topology.
Goes out: IsolationResult (results/isolation.py): a plan for each work step and each zone marked.
May import: results, topology, job, physics, codebook, worksheet, the ground floor.
Start reading: rules/plan.py, then rules/cut.py and rules/checker.py.
"""
