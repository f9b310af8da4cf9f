"""The papers of the panel stage: elevation, circuit directory, labels at print size, parts list.

Comes in: a house at a step, its panels as answered, what the circuits stage says of fault currents.
Goes out: Sheets, and the parts list as a spreadsheet or as CSV.
May import: rooms above documents, and documents.
Start reading: together.py; face.py has what the elevation draws.
"""
