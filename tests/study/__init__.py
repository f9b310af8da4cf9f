"""The full counts: thousands of houses, tables with every cell changed; results go to docs/reference/study.md.

In: the engines and their tests' comparisons.
Out: one page with counts and the engine's checksum.
May import: anything in tests and the package.
Start reading: run.py.
"""
