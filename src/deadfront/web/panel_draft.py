"""A layout of a panel for the screen: judged in words, drawn, its moves in order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal

from markupsafe import Markup

from deadfront.app.panel_layouts import Tried, result_of, tried
from deadfront.documents.html import verdict_html
from deadfront.documents.panel_sheets.elevation import live_elevation
from deadfront.documents.panel_sheets.face import face_of
from deadfront.documents.panel_sheets.legs_picture import leg_columns, leg_heads, legs_picture
from deadfront.documents.panel_sheets.moves import step_words, with_ties
from deadfront.documents.panel_sheets.standing import layout_stands, wrong_of
from deadfront.panel.rules.judge import leg_tenths
from deadfront.quantities import point
from deadfront.results.panel import PanelCase, PanelResult, Piece, Place
from deadfront.web.desk import AtJob
from deadfront.web.entry.typed import BadEntry
from deadfront.web.panel_pieces import BreakerChoice, Draft, LegLine
from deadfront.web.panel_puts import place_of, place_text, puts_text, read_puts
from deadfront.web.panel_together import carried
from deadfront.web.render import safe
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Figure


def draft_of(
    at: AtJob, panel: str, puts: str, breaker: str = "", spaces: str = "", chosen: str = ""
) -> Draft:  # fmt: skip
    """The panel with the places of an address, and one more that was just typed.

    Args:
        breaker: The breaker that was typed for; `spaces`: what was typed.
        chosen: The point of the curve that this layout is.
    """
    trouble, places = "", dict[str, Place]()
    try:
        places = read_puts(puts)
        if breaker:
            case = result_of(at.answered, panel).case
            place = place_of(spaces, None if case is None else case.spaces)
            places |= {breaker: place} if case is None else carried(case, {**case.found(), **places}, breaker, place)
    except BadEntry as error:
        trouble = at.catalog.say(error.msg)
    found = tried(at.answered, panel, places)
    return _drawn(at, found, trouble, (spaces, breaker) if trouble else ("", breaker), chosen)


def _drawn(at: AtJob, found: Tried, trouble: str, typed: tuple[str, str], chosen: str) -> Draft:
    case, say = found.now.case, at.catalog
    assert case is not None
    panel = next(each for each in found.at.house.panels if each.id == found.now.id)
    face = face_of(found.at, panel, found.after)
    free = [piece for piece in case.pieces if not piece.fixed or piece.now is None]
    picture = "" if face is None else live_elevation(face, say, {piece.id for piece in free})
    layout = dict(found.layout)
    return Draft(
        found.now.id, puts_text({ident: layout[ident] for ident in found.changed}), judgment(at, found),
        tuple(say.say(each.say) for each in wrong_of(found.wrong)),
        safe("") if found.new_wrong else evenness(at, found.after),
        leg_heads(found.after, say),
        tuple(leg_lines(at, found.after)), tuple(say.key(each) for each in leg_columns(case.leg_count)),
        safe(legs_picture(found.after, say)), safe(picture),
        tuple(_choice(at, piece, layout) for piece in case.pieces if piece.id not in layout),
        tuple(_choice(at, piece, layout) for piece in sorted(free, key=_order(layout))),
        tuple(step_words(each, say) for each in with_ties(case, found.steps)), len(found.changed), found.may_be_kept,
        chosen, trouble, *typed,
    )  # fmt: skip


def _order(layout: Mapping[str, Place]) -> Callable[[Piece], tuple[tuple[int, ...], str]]:
    """As they stand, those without a space first."""
    return lambda piece: (layout[piece.id].spaces if piece.id in layout else (0,), piece.id)


def _choice(at: AtJob, piece: Piece, layout: Mapping[str, Place]) -> BreakerChoice:
    place = layout.get(piece.id)
    spaces = place_text(place)
    name = at.catalog.say(piece.name)
    say = at.catalog.key("web.panel.choice" if spaces else "web.panel.choice_waiting", name=name,
                         spaces=spaces.replace(",", ", "))  # fmt: skip
    return BreakerChoice(piece.id, say, spaces, "0.5" if piece.half and not piece.full else str(piece.poles))


def judgment(at: AtJob, found: Tried) -> Markup:
    """What the judge says of a layout, in one sentence."""
    say = at.catalog
    if found.new_wrong:
        return safe(verdict_html(Outcome.FAILS, say.say(found.new_wrong[0].say)))
    outcome = layout_stands(found.after)
    wrong = len(wrong_of(found.wrong))
    if found.changed:
        count = len(found.changed)
        key = {Outcome.FAILS: "tried_wrong", Outcome.MEETS: "tried"}.get(outcome, "tried_open")
        return safe(verdict_html(outcome, say.key(f"web.panel.{key}", count=count, wrong=wrong)))
    if wrong:
        return safe(verdict_html(Outcome.FAILS, say.key("web.panel.wrong", count=wrong)))
    key = "right" if outcome is Outcome.MEETS else "right_so_far"
    return safe(verdict_html(outcome, say.key(f"web.panel.{key}")))


def evenness(at: AtJob, result: PanelResult) -> Markup:
    """Whether the legs are even enough to be left as found."""
    check = next((each for each in result.checks if each.id == "panel.balance"), None)
    if check is None:
        return safe("")
    return safe(verdict_html(check.outcome, at.catalog.say(check.say)))


def leg_lines(at: AtJob, result: PanelResult) -> Iterator[LegLine]:
    """The legs at every time; where a load is not known, also as they are counted."""
    say, case = at.catalog, result.case
    assert case is not None
    for index, each in enumerate(result.balances):
        figures = [say.figure(Figure(step.value, "A")) for step in (*each.legs, each.apart, each.neutral)]
        yield LegLine(say.say(each.scenario), tuple(figures[:-2]), figures[-2], figures[-1])
        if not each.apart.value.exact:
            counted = [*_counted(case, index)]
            told = [say.figure(Figure(point(Decimal(tenths) / 10), "A")) for tenths in counted]
            yield LegLine(say.key("cli.panel.counted"), tuple(told[:-1]), told[-1], "–")


def _counted(case: PanelCase, index: int) -> Iterator[int]:
    tenths = leg_tenths(case, case.found(), index)
    yield from tenths
    yield max(tenths) - min(tenths)
