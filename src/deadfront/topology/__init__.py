"""A house as a graph: transformer, service, disconnects, panels, feeders, circuits; two terminals a device.

Comes in: a House.
Goes out: a Graph of places and of what joins them, with rings and orphans named.
May import: job, recordings, physics, codebook, worksheet, the ground floor.
Start reading: graph.py.
"""
