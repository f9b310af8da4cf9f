"""Papers of metering: the plan for the door, and the naming list as a file.

Comes in: a MeteringResult, the house it is of, a catalog.
Goes out: Sheets; bytes of CSV and XLSX files.
May import: every room above documents.
Start reading: plan.py, then naming.py.
"""
