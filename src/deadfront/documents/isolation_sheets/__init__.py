"""Papers of isolation: for each step of the work two pages to tick, write on and sign.

Comes in: an IsolationResult.
Goes out: a Sheet.
May import: every room above documents.
Start reading: plan_sheet.py.
"""
