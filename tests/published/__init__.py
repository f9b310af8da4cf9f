"""Published worked examples, run through the engine.

In: dwelling_loads.json, each case with its printed result and its publisher.
Out: nothing; a figure that differs names the publisher and the line.
May import: tests/loads, tests/oracle (readers of the file) and the package.
Start reading: test_dwelling_loads.py.
"""
