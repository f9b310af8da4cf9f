"""Reducing a recording file, whether it is kept in a library or lies beside a job file."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.util import find_spec
from typing import TYPE_CHECKING

from deadfront.errors import NotAllowed

if TYPE_CHECKING:
    from deadfront.recordings.answer import Reduction
    from deadfront.recordings.recording import Recording as ReadRecording

PARTS = ("numpy", "pyarrow")
INSTALL = 'pip install "deadfront[data]"'


def can_read() -> bool:
    """Whether the part of the program that reads recordings is installed: it is an extra."""
    return all(find_spec(name) is not None for name in PARTS)


def require_reading() -> None:
    """Stop where the part that reads recordings is not installed.

    Raises:
        NotAllowed: says which command installs it.
    """
    if not can_read():
        raise NotAllowed("app.recording.needs_extra", command=INSTALL)


def channels_to_take(found: ReadRecording, wanted: Sequence[str]) -> tuple[str, ...]:
    """The channels of a file to take.

    Raises:
        NotAllowed: several, and none was named; the same one twice; or more than two.
    """
    names = [channel.name for channel in found.channels]
    if len(wanted) > 2 or len(set(wanted)) < len(wanted):
        raise NotAllowed("app.recording.two_channels", found=tuple(wanted))
    if not wanted and len(names) > 1:
        raise NotAllowed("app.recording.which_channel", allowed=tuple(names[:20]))
    return tuple(found.channel(name).name for name in wanted or names)


def reduced(found: ReadRecording, channels: Sequence[str]) -> Reduction:
    """One channel reduced, or two added up.

    Raises:
        RecordingUnreadable: a channel gives no interval, or two have none in common.
    """
    from deadfront.recordings.reduce import reduce_channel, reduce_sum

    return reduce_channel(found, channels[0]) if len(channels) == 1 else reduce_sum(found, channels)
