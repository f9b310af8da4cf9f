"""A second, slow dwelling-load engine that lives only in the tests.
What it is for: to check the real engine with other hands and other code, written from the rules digest alone.
What comes in: one plain dict (edition, system, units, loads, choices). What goes out: one plain dict per method.
What it may import: the standard library and its own files, never the package under test.
Where to start reading: engine.py (calculate), then standard.py; the printed tables are typed out in tables.py.
"""
