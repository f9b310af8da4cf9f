"""Small makers of SVG: text escaped, numbers short, text width from the typeface's own advances."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from html import escape
from importlib import resources

FACE = "Atkinson Hyperlegible Next"
MONO = "Atkinson Hyperlegible Mono"
INK, SOFT = "#1d2328", "#505b65"
UNMEASURED_EM = 1.0


@cache
def _advances() -> dict[str, float]:
    written = resources.files("deadfront.documents").joinpath("advances.toml").read_text(encoding="utf-8")
    return {char: float(em) for em, chars in tomllib.loads(written)["next"].items() for char in chars}


def short(value: float) -> str:
    """A coordinate with at most one digit after the point."""
    return f"{value:.1f}".removesuffix(".0")


def attributes(**named: object) -> str:
    """Attributes of an element: stroke_width=2 becomes stroke-width="2"; floats are kept short."""
    shown = {k: short(v) if isinstance(v, float) else str(v) for k, v in named.items() if v is not None}
    return "".join(f' {k.rstrip("_").replace("_", "-")}="{escape(v, quote=True)}"' for k, v in shown.items())


def element(tag: str, **named: object) -> str:
    """One element without content."""
    return f"<{tag}{attributes(**named)}/>"


def text(
    x: float, y: float, words: str, *, size: float, anchor: str = "start", fill: str = INK, weight: int = 400,
    face: str = FACE,
) -> str:  # fmt: skip
    """Escaped words at a place."""
    named = attributes(x=x, y=y, font_family=face, font_size=size, font_weight=weight, text_anchor=anchor, fill=fill)
    return f"<text{named}>{escape(words)}</text>"


def text_width(words: str, size: float) -> float:
    """The width that words take, in bold; never less."""
    return size * sum(_advances().get(char, UNMEASURED_EM) for char in words)


def drawing(width: float, height: float, parts: Iterable[str], *, title: str, kind: str, role: str = "img") -> str:
    """A whole picture with its title for those who hear it; `role`: "group" where parts of it can be chosen."""
    box = f"0 0 {short(width)} {short(height)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{escape(kind)}" viewBox="{box}" role="{role}" '
        f'aria-label="{escape(title, quote=True)}"><title>{escape(title)}</title>{"".join(parts)}</svg>'
    )
