"""Interval data of demand: schema, quality, reduction to the figures that a measured load stands on.

Comes in: bytes of a CSV, Parquet or ESPI file as an open binary file, and a Mapping that says what they mean.
Goes out: a Recording of channels, Series with a quality mark on every reading, a QualityReport, a Reduction.
May import: quantities, errors, msg, worksheet, codebook, physics, job; numpy and pyarrow, and so loaded lazily.
Start reading: mapping.py and marks.py; read.py; series.py; quality.py; reduce.py.
"""
