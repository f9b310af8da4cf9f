"""Metering: every current transformer planned, held against what it sits on, and proved by load steps.

Comes in: a code book, a house at a step with its channels, the answers of circuits; readings of load steps.
Goes out: a MeteringResult: each channel with its checks; verdicts of the proof.
May import: results, topology, recordings, job, physics, codebook, worksheet, the ground floor.
Start reading: rules/answer.py and rules/each/ for the plan; rules/steps.py for the proof.
"""
