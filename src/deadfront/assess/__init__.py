"""Runs the stages on one job: answers, checks, what is still to find out, what stands before a signature.

Comes in: a Job and a Codebook.
Goes out: an Assessment, frozen.
May import: every room above it.
Start reading: run.py, then standing.py.
"""

from deadfront.assess.run import Assessment, ToFind, assess, context_of
from deadfront.assess.standing import Standing, standing_of

__all__ = ["Assessment", "Standing", "ToFind", "assess", "context_of", "standing_of"]
