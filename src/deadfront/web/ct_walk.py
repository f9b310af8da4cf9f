"""The walk along the current transformers: one line a channel, typed before and after each load step."""

from __future__ import annotations

from markupsafe import Markup

from deadfront.web.desk import AtJob
from deadfront.web.render import safe


def walk_html(at: AtJob) -> Markup:
    """The walk; nothing where no channel is listed."""
    return safe("")
