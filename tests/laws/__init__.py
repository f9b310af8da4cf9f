"""Laws that every load figure keeps, on invented houses.

In: cases of tests/oracle, blanks, permutations.
Out: nothing; a law broken names the house that breaks it.
May import: tests/loads, tests/oracle and the package.
Start reading: blanks.py, evaluate.py.
"""
