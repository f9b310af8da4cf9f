"""Sources of power: every bus, feeder and tap they load, arrays in the cold, disconnects, labels, places.

Comes in: a code book, a house at a step, the circuits answer, the load answer.
Goes out: a SourcesResult of buses by option, strings of modules and checks.
May import: results, topology, recordings, job, physics, codebook, worksheet, the ground floor.
Start reading: rules/answer.py, then rules/facts.py, rules/paths.py and rules/each/.
"""
