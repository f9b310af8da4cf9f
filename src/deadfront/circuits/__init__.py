"""Circuits, service, grounding, faults and protection: every conductor, breaker and ground held against the code.

Comes in: a code book, a house at a step, the load answer, choices and assumptions.
Goes out: a CircuitsResult of runs, faults, grounding, the site list and checks.
May import: results, topology, recordings, job, physics, codebook, worksheet, the ground floor.
Start reading: rules/answer.py, then rules/facts.py and rules/each/.
"""
