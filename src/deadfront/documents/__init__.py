"""Sheets laid out for people: words in two languages, numbers, HTML, PDF and the pictures on them.

Comes in: Sheets, Msgs, Steps and Checks of the rooms above.
Goes out: text, HTML, SVG; PDF bytes only when asked (typst loads then, not before).
May import: quantities, errors, msg, worksheet, codebook, job, results and the stages.
Start reading: catalog.py (words), formula.py and rows.py (printed working), html.py, pdf.py, figures.py.
"""
