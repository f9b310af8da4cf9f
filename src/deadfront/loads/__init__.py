"""The load calculation: by every admissible method, with its working, held against the service.

Comes in: a HouseAt, a Codebook, choices and named assumptions.
Goes out: a results.loads.LoadResult.
May import: quantities, errors, msg, worksheet, codebook, physics, job, recordings, topology, results.
Start reading: rules/methods.py, then rules/standard.py.
"""
