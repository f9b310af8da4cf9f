"""What can go wrong with a recording as a file, told as what, where and what to do.

DeadfrontError
├── RecordingUnreadable     the bytes are not a recording that can be understood
│   └── MappingUnclear      the mapping leaves open what must be said first
├── RecordingUnsafe         XML with a DTD, or nesting and parts beyond the limits (an UnsafeFile)
└── ReadingStopped          the caller asked to stop

What is odd inside a recording is never an exception: it is marked, counted and shown.
"""

from __future__ import annotations

from deadfront.errors import DeadfrontError, UnsafeFile


class RecordingUnreadable(DeadfrontError):
    """The bytes are not a recording that can be understood."""


class MappingUnclear(RecordingUnreadable):
    """The mapping leaves open what must be said before a figure can be trusted."""


class RecordingUnsafe(UnsafeFile):
    """XML that declares a document type, nests too deep or holds a part that is too large."""


class ReadingStopped(DeadfrontError):
    """Reading was stopped on request; nothing was kept."""
