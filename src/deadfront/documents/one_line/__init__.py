"""The one-line diagram of a house, drawn from its network.

Comes in: a House at a step, its network, the circuits' answer, a catalog, nudges.
Goes out: marks on paper, as SVG, DXF, PDF or a Sheet.
May import: documents and everything above it.
Start reading in `made.py`.
"""
