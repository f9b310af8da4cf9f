"""The packet as a page, and signing it."""

from __future__ import annotations

from deadfront.app.panel_papers import left_out
from deadfront.documents.html import caution_html, sheet_html
from deadfront.errors import NotFound
from deadfront.web.contexts import PacketPage, SheetPage
from deadfront.web.desk import AtJob
from deadfront.web.entry.typed import text_of
from deadfront.web.pieces import IssueLine, SheetLine
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.worksheet.check import Severity


def packet_page(at: AtJob) -> PacketPage:
    """The sheets there are, what was signed and what changed since, what bars a signature."""
    head, assessment, say = at.job.job, at.answered.assessment, at.catalog
    issues = tuple(
        IssueLine(i.revision, f"{i.at:%Y-%m-%d}", i.who, i.license, i.result_digest[:12])
        for i in at.web.desk.library.issues(at.id)
    )
    reopened = at.web.desk.reopened(at.id, at.answered.told, assessment.book.digest)
    changed = reopened.changed if reopened else ()
    barring = [c for c in assessment.checks if c.is_finding and c.severity is not Severity.NOTE]
    return PacketPage(
        shell_of(at, "packet"),
        tuple(SheetLine(sheet.key, say.say(sheet.title)) for sheet in at.sheets()),
        issues,
        tuple(say.key("web.packet.changed", what=c.key, signed=c.signed or "", now=c.now or "") for c in changed),
        () if at.answered.standing.signable else tuple(say.say(c.say) for c in barring),
        tuple(say.say(each) for each in left_out(at.web.desk, at.id, at.answered)), head.license, head.electrician,
        safe(caution_html("notice", say.key("sheet.load.review"), say)),
    )  # fmt: skip


def sheet_page(at: AtJob, key: str) -> SheetPage:
    """One sheet as it is printed.

    Raises:
        NotFound: no such sheet.
    """
    sheet = next((each for each in at.sheets(blank=True) if each.key == key), None)
    if sheet is None:
        raise NotFound("web.not_found")
    title = at.catalog.say(sheet.title)
    body = safe(sheet_html(sheet, at.catalog))
    return SheetPage(shell_of(at, "packet"), title, body)


def sign(at: AtJob, base: int, signer: str, license: str) -> None:
    """Freeze what is signed.

    Raises:
        NotAllowed: something bars a signature, or no name or license.
        StaleRevision: someone saved since the page was made.
    """
    at.web.sign(
        at.web.desk, at.id, base, signer=text_of("signer", signer) or "", license=text_of("license", license) or "",
        overlay=at.web.settings.overlay, language=at.catalog.language,
    )  # fmt: skip
