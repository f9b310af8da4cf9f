"""Transfer equipment: neutral and ground in every state, what excludes what, ratings, what standby must carry.

Comes in: SourceFacts. Goes out: answers of results/transfer.py, which the modules of `each` turn into checks.
Start reading: net.py (the neutral as a network), then wiring.py (that network from a house).
"""
