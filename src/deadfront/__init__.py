"""deadfront: one job, one model, every figure with its working, every answer with its check.

The rooms, and which way imports point, are told in docs/explanation/rooms.md.
"""

__version__ = "0.1.0"
