"""What answers each address: parse, call app, render; twenty lines at most.

Comes in: a request, an opened job.
Goes out: a page or the fragments that an edit changes.
May import: every room but cli.
Start reading: survey.py, then load.py.
"""
