"""The load engine held against a second one, laws and edges.

In: cases of tests/oracle, jobs made here.
Out: agreement counted by method, reading and path.
May import: tests/oracle and the package.
Start reading: from_case.py.
"""
