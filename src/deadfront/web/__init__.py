"""The pages a person works on in a browser: thin, local, locked by a key that changes at every start.

Comes in: a Desk and Settings; then requests from the same machine.
Goes out: pages, fragments of pages after an edit, job files and papers to download.
May import: every room but cli.
Start reading: serve.py, then doors.py (who may enter), shell.py (what is on every page), views/.
"""
