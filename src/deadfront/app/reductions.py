"""What recordings come to, as stored: found again by what went into them, never by name."""

from __future__ import annotations

import hashlib
import json
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from threading import Lock
from typing import TYPE_CHECKING, Any

from deadfront import __version__
from deadfront.job.model import Job
from deadfront.recordings.answer import Reduction
from deadfront.results.recordings import reduction_from_json

if TYPE_CHECKING:
    from deadfront.store.library import Library

KIND = "recording"


def input_hash(sha256: str, mapping: Mapping[str, Any] | None, channels: Sequence[str]) -> str:
    """What a reduction was made from: the file, what its columns mean, the channels."""
    return hashlib.sha256(json.dumps([sha256, mapping, list(channels)], sort_keys=True).encode()).hexdigest()


class Reductions:
    """What recordings come to, kept by what went into them, so that showing a job again reads nothing anew."""

    def __init__(self, library: Library, size: int = 32) -> None:
        self.library, self.size = library, size
        self._held, self._lock = OrderedDict[str, Reduction](), Lock()

    def of(self, job: Job) -> dict[str, Reduction]:
        """What the recordings of a job come to, by id.

        One that was not reduced by this version from this very input is left out: it is asked for again.
        """
        added = [recording for step in job.work for recording in step.add.recordings]
        every = [each for each in (*job.before.recordings, *added) if each.sha256 is not None]
        found = {each.id: self._get(input_hash(str(each.sha256), each.mapping, each.channels)) for each in every}
        return {ident: reduction for ident, reduction in found.items() if reduction is not None}

    def _get(self, went_in: str) -> Reduction | None:
        with self._lock:
            if went_in in self._held:
                self._held.move_to_end(went_in)
                return self._held[went_in]
        kept = self.library.get_result(KIND, went_in, __version__)
        try:
            found = None if kept is None else reduction_from_json(kept.body)
        except (KeyError, TypeError):
            return None  # of another form
        if found is not None:
            with self._lock:
                self._held[went_in] = found
                while len(self._held) > self.size:
                    self._held.popitem(last=False)
        return found
