"""Runs: every branch circuit, feeder and the service, with load, breaker and conductors, each a case that is kept.

Comes in: Facts. Goes out: a RunCase for each run, and its Run. Start reading: case.py, then answer.py.
"""
