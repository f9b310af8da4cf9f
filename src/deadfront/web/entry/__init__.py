"""What is typed into a line of a table, understood: cables, spaces, nameplates, and the edits they ask for.

Comes in: texts as typed, and the job they are typed into.
Goes out: edits as plain data, or a BadEntry that says what is allowed.
May import: quantities, errors, msg, codebook, job.
Start reading: typed.py, then circuits.py and loads.py.
"""
