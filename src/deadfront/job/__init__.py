"""What was seen and decided: the house as found, the ordered work, the choices, where each fact comes from.

Comes in: a job file's text, edits on id paths.
Goes out: a Job (plain frozen models), the House at any step with its tags, the file's text again.
May import: quantities, errors, msg, worksheet, codebook, physics.
Start reading: things.py, then model.py and house.py; read.py, write.py and edits.py for the file.
"""
