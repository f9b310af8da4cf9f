"""The service and its grounding: sizes the code asks for, where neutral and ground join, what each check needs to know.

Comes in: Facts. Goes out: Required lines for Facts.grounding, and what the rules of `each` say.
May import: as the room circuits. Start reading: required.py, then joins.py and telling.py.
"""
