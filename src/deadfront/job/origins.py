"""Where the facts of a job come from."""

from __future__ import annotations

from deadfront.job.model import Job, Origin


def origin_of(job: Job, path: str) -> Origin | None:
    """Where a fact comes from: what is said of it, else of the thing it belongs to; None where nothing is said.

    Args:
        job: The job.
        path: As HouseAt.path gives it: "before/l-2xf.nameplate_w".
    """
    said = {origin.of: origin for origin in job.origins}
    while path:
        if path in said:
            return said[path]
        path = path.rpartition(".")[0]
    return None
