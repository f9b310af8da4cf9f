"""Commissioning: every test of the installed work done, open, or not applicable with a reason.

Comes in: a code book, a house at a step with its records, the answers of circuits.
Goes out: a CommissioningResult: every test due with its verdict, the torque log, the energizing sequence.
May import: results, topology, recordings, job, physics, codebook, worksheet, the ground floor.
Start reading: rules/answer.py, then rules/test_kind.py and rules/each/.
"""
