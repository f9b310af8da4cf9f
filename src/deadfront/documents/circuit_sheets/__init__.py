"""The sheets of the circuits stage: schedule, grounding, faults and labels, hazards, the site list.

Comes in: a CircuitsResult and the house it is of.
Goes out: Sheets.
May import: rooms above documents, and documents.
Start reading: schedule.py; common.py has what all share.
"""
