"""Load rules in pure Python, one subject a file, named by subject and never by section.

Comes in: a Context (context.py) and the items of the house (items.py).
Goes out: Steps, Methods, Checks.
May import: what the loads room may.
Start reading: methods.py.
"""
