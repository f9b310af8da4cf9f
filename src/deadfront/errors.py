"""What can go wrong with a call, a file or a code book; never with the house itself.

DeadfrontError
├── EditionNotEncoded    the code book does not hold this rule for this edition
├── OutOfTable           a value lies outside the printed rows (never extrapolated)
├── NotAllowed           a name or value that the data does not know
├── JobUnreadable        a job file, amendment or edit that cannot be understood
│   └── EditRefused      an edit that would break the job
├── StaleEdit            someone saved a newer revision first
├── NotFound             no such job, revision, thing or file
├── UnsafeFile           an archive, photo or upload that breaks the safety limits
└── NoSolution           nothing satisfies the rules; the clashing rules are named

What is wrong with the job is a Check, returned in a list, never an exception.
"""

from __future__ import annotations

from deadfront.msg import Msg


class DeadfrontError(Exception):
    """Base of all errors that carry a message fit for the person at the screen.

    Attributes:
        msg: What happened, with the value found, what is allowed, what to do.
    """

    def __init__(self, key: str, /, **params: object) -> None:
        self.msg = Msg(key, params)
        super().__init__(f"{key} {params}" if params else key)


class EditionNotEncoded(DeadfrontError):
    """The code book does not hold this rule for this edition; the reason is in the message."""


class OutOfTable(DeadfrontError):
    """A value lies outside the printed rows of a table; tables are never extrapolated."""


class NotAllowed(DeadfrontError):
    """A name or value that is not among the allowed ones."""


class JobUnreadable(DeadfrontError):
    """A job file, amendment or edit that cannot be understood."""


class EditRefused(JobUnreadable):
    """An edit that would break the job."""


class StaleEdit(DeadfrontError):
    """Someone saved a newer revision first."""


class NotFound(DeadfrontError):
    """No such job, revision, thing or file."""


class UnsafeFile(DeadfrontError):
    """An archive, photo or upload that breaks the safety limits."""


class NoSolution(DeadfrontError):
    """Nothing satisfies the rules."""
