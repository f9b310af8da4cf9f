"""Local amendments as a page: what is in force, what a pasted text would change, figures a license holder confirmed."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook import Amendment, Overlay, Value, open_book
from deadfront.documents.catalog import Catalog
from deadfront.web.contexts import AmendPage
from deadfront.web.desk import AtJob
from deadfront.web.further import held
from deadfront.web.pieces import AmendmentLine
from deadfront.web.shell import shell_of
from deadfront.web.views.typed import Form, field_of


def amend_page(at: AtJob, form: Form | None = None, made: Amendment | None = None, trouble: str = "") -> AmendPage:
    """The amendments of a job.

    Args:
        form: What was typed.
        made: The amendment it says, nothing of it in force yet.
        trouble: Why it cannot be taken, or "".
    """
    typed = form or {}
    edition = at.job.job.code.edition
    lines = tuple(AmendmentLine(each.name, tuple(changes(each, edition, at.catalog))) for each in held(at))
    read = AmendmentLine(made.name, tuple(changes(made, edition, at.catalog))) if made else None
    return AmendPage(
        shell_of(at, "amendments"), lines, field_of(typed, "name"), field_of(typed, "text"), read, trouble,
        confirmed(at.web.settings.overlay, edition, at.catalog),
    )  # fmt: skip


def changes(amendment: Amendment, edition: str, catalog: Catalog) -> Iterator[str]:
    """What an amendment changes, line by line in words."""
    plain = open_book(edition)

    def section(text: str) -> str:
        return f" ({text})" if text else ""

    for name, setting in amendment.values:
        was: Value = plain.value(name)
        yield catalog.key(
            "web.amend.value", what=value_word(name, catalog), was=figure(was.value, was.unit, catalog),
            now=figure(setting.value, was.unit, catalog), section=section(setting.section),
        )  # fmt: skip
    for subject in amendment.barred:
        yield catalog.key("web.amend.bar", what=rule_word(subject, catalog))
    for subject, reading in amendment.selected:
        key = f"reading.{subject}.{reading}"
        said = catalog.key(key) if catalog.has(key) else reading.replace("_", " ")
        yield catalog.key("web.amend.select", what=rule_word(subject, catalog), reading=said)
    for each in amendment.requirements:
        yield catalog.key("web.amend.require", text=each.text, section=section(each.section))


def figure(value: object, unit: str, catalog: Catalog) -> str:
    """A figure with its unit in words."""
    if isinstance(value, bool):
        return catalog.key("web.known.yes" if value else "web.known.no")
    return f"{catalog.value(value)} {unit}".strip()


def value_word(name: str, catalog: Catalog) -> str:
    """What a figure of the code book is called."""
    return catalog.key(f"value.{name}") if catalog.has(f"value.{name}") else name.replace("_", " ")


def rule_word(subject: str, catalog: Catalog) -> str:
    """What a rule of the code book is called."""
    key = f"reading.{subject}.name"
    return catalog.key(key) if catalog.has(key) else subject.replace("_", " ")


def confirmed(overlay: Overlay | None, edition: str, catalog: Catalog) -> str:
    """Whose confirmations apply to an edition, and how many; "" for none."""
    if overlay is None:
        return ""
    count = len(overlay.confirmed_in(edition))
    return catalog.key(
        "web.book.confirmed_by", who=overlay.holder, license=overlay.license_number, on=overlay.date, count=count
    )
