"""What the circuits pages are given: one frozen class a page, every key said here and used by its template."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from deadfront.web.circuit_pieces import CheckLine, HazardLine, RunTable, SitePlace, ThingLine, ThingList
from deadfront.web.pieces import Field, Shell


@dataclass(frozen=True, slots=True)
class CircuitsPage:
    """Circuits: is every conductor and breaker right for what it feeds?

    Args:
        shell: What every page has.
        answer: The question and its answer.
        tables: Service, feeders, branch circuits.
        key: What the columns mean.
        site: What is open on the site list, in one sentence.
        faults: The pictures of fault currents, or what they wait for.
        grounding: The table of grounding conductors, "" where nothing is known.
        hazards: Hazards found.
        lists: Every list of things, to add to and to open.
        caution: The NOTICE that a directory can be wrong.
    """

    shell: Shell
    answer: Markup
    tables: tuple[RunTable, ...]
    key: str
    site: str
    faults: Markup
    grounding: Markup
    hazards: tuple[HazardLine, ...]
    lists: tuple[ThingList, ...]
    caution: Markup


@dataclass(frozen=True, slots=True)
class SitePage:
    """The site list, to be walked with a phone in one hand.

    Args:
        shell: What every page has.
        answer: How many questions are open.
        places: The questions, place by place.
        caution: The DANGER that stands where the cover comes off.
    """

    shell: Shell
    answer: str
    places: tuple[SitePlace, ...]
    caution: Markup


@dataclass(frozen=True, slots=True)
class ThingPage:
    """One thing with everything that may be known of it.

    Args:
        shell: What every page has.
        called: What it is called.
        ident: Its id.
        what: What kind of thing it is.
        list_href: The list it stands in.
        struck: Whether it can be struck out, or taken out by the work: "", "E" or "R".
        answer: The run it is: its load, breaker and conductors in one line with the verdict; "" for none.
        facts: Facts that are usually asked for.
        further: All its other facts.
        parts: Things that belong to it.
        checks: Its checks with their remedies.
        worked: Its figures line by line.
        photo: Whether a photo can be attached, and where the one there is shows: None, "" or its address.
        cautions: What can hurt about this kind of thing.
    """

    shell: Shell
    called: str
    ident: str
    what: str
    list_href: str
    struck: str
    answer: Markup
    facts: tuple[Field, ...]
    further: tuple[Field, ...]
    parts: tuple[ThingLine, ...]
    checks: tuple[CheckLine, ...]
    worked: Markup
    photo: str | None
    cautions: tuple[Markup, ...] = ()
