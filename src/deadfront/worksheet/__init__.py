"""How a figure was reached, said and laid on paper: Step, Check, Msg, Cite, Sheet.

Comes in: facts, code values, names of rules.
Goes out: evaluated Steps with their citations, Checks with four outcomes, Sheets of typed blocks.
May import: quantities, errors.
Start reading: step.py, then build.py; check.py; sheet.py.
"""
