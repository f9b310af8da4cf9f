"""The sheet of the sources stage: paths, buses by option, arrays, neutral by state, standby capacity, signals.

Comes in: a House at a step, a SourcesResult, what stands at the head of a sheet.
Goes out: one Sheet, and its tables for the screen.
May import: documents and everything above it.
Start reading in sheet.py.
"""
