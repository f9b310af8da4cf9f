"""The use cases: what a person can do with jobs, each one call; the doors (web, command line) only hand on.

Comes in: a library, a clock, a source of chance; then job ids, edits, paths, names as the person gave them.
Goes out: open jobs with their problems, new revisions, job files, issued records; errors with a Msg.
May import: every room but web and cli.
Start reading: library.py (Desk), then changes.py, parcels.py, signing.py, closing.py.
"""
