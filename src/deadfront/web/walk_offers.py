"""What the walk found otherwise than planned: offered on the page, kept in the directory as one revision."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from deadfront.app.walk_keeping import Offer, edits_of, kept_text, offers
from deadfront.errors import NotAllowed
from deadfront.job.edits import Edit
from deadfront.metering.rules.recorded_walk import proved_walk
from deadfront.results.proof import ChannelVerdict
from deadfront.web.desk import AtJob
from deadfront.web.record_pieces import OfferLine, Offers
from deadfront.web.render import ENV, safe
from deadfront.web.shell import shell_of
from deadfront.web.views.typed import Form, field_of

PLACE = "walk-offers"
MOST = 40_000


def offers_of(at: AtJob, verdicts: Iterable[ChannelVerdict]) -> Offers:
    """What of a walk can be kept, in words, each with what tells it again."""
    found = offers(at.answered, tuple(verdicts))
    lines = tuple(OfferLine(f"keep-{each.channel}", token(each), at.catalog.say(each.say)) for each in found)
    return Offers(lines, " ".join(each.keep for each in lines), at.opened.revision)


def offers_part(at: AtJob) -> Markup:
    """The offers as they stand after a save, to be put in their place."""
    macros = ENV.get_template("record_macros.html").module
    return safe(str(macros.offers(offers_of(at, _proved(at)), shell_of(at, "commission"), at.catalog.key)))  # type: ignore[attr-defined]


def token(offer: Offer) -> str:
    """What tells an offer again: its channel and the conductor it was found on."""
    return ":".join((offer.channel, offer.found.of, offer.found.leg))


def wanted_edits(at: AtJob, form: Form) -> list[Edit]:
    """The edits of the offers that a form asks to keep, all of them or none.

    Raises:
        NotAllowed: an offer that does not stand any more; or a step of the work sets the same facts.
        EditRefused: the job would be broken.
    """
    asked = dict.fromkeys(field_of(form, "keep")[:MOST].split())
    there = {token(each): each for each in offers(at.answered, _proved(at))}
    if not asked or not asked.keys() <= there.keys():
        raise NotAllowed("web.walk.gone")
    kept = [there[each] for each in asked]
    kept_text(at.opened.text, at.answered, kept)
    return edits_of(kept)


def _proved(at: AtJob) -> Sequence[ChannelVerdict]:
    found = at.answered.assessment
    return proved_walk(found.book, found.at)
