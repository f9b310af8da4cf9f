"""The frozen answers that stages hand on.

Comes in: nothing; these are plain classes.
Goes out: LoadResult and its parts; other stages add theirs beside it.
May import: quantities, errors, msg, worksheet, codebook, physics, job, recordings, topology.
Start reading: loads.py.
"""
