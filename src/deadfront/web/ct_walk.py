"""The walk along the current transformers: one line a channel, its load off and on, the verdict of the proof."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from deadfront.documents.html import caution_html, verdict_html
from deadfront.job.record_things import Record
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.recorded_walk import STEP, WalkLine, steps_of, walk_lines
from deadfront.metering.rules.steps import proof
from deadfront.msg import Msg
from deadfront.results.proof import ChannelVerdict, ProofPlan
from deadfront.web.desk import AtJob
from deadfront.web.record_cards import OUTCOMES, Cards
from deadfront.web.record_pieces import ReadLine, Said, Walk
from deadfront.web.render import safe
from deadfront.web.walk_offers import offers_of
from deadfront.worksheet.check import Outcome

TYPED = ("watts", "off", "on", "meanwhile")
TOLD = "walk-told"


def walk_of(at: AtJob, cards: Cards) -> Walk | None:
    """The walk with what is typed so far; None where no channel is listed."""
    found = at.answered.assessment
    if not found.at.house.channels:
        return None
    plan = proof_plan(found.book, found.at)
    records = [each for each in found.at.house.records if each.test == STEP]
    by_channel = {str(each.thing): each for each in records}
    verdicts, wrong = _verdicts(plan, records)
    told = {each.id: at.catalog.say(each.name) for each in plan.channels}
    lines = tuple(
        _line(at, cards, plan, each, by_channel.get(each.channel.id), told, said_of(at, verdicts, wrong, each))
        for each in walk_lines(plan)
    )
    watts = next((each.readings["watts"] for each in reversed(records) if each.readings.get("watts")), "")
    caution = caution_html("danger", at.catalog.key("sheet.metering.never_open"), at.catalog)
    caution += caution_html("warning", at.catalog.key("sheet.metering.zero"), at.catalog)
    return Walk(lines, watts, summary(at, verdicts.values()), safe(caution), offers_of(at, verdicts.values()))


def _line(
    at: AtJob, cards: Cards, plan: ProofPlan, line: WalkLine, record: Record | None, told: Mapping[str, str], said: Said
) -> ReadLine:  # fmt: skip
    read = record.readings if record else {}
    circuit, beside = read.get("circuit", line.circuit), read.get("beside", line.beside)
    name = plan.names.get(circuit)
    load = at.catalog.key("web.walk.line", load=name) if name else at.catalog.key("web.walk.no_load")
    values = tuple((key, read.get(key, "")) for key in TYPED)
    return ReadLine(
        record.id if record else cards.fresh("rec"), f"walk-{line.channel.id}", line.channel.id,
        told[line.channel.id], load, circuit, beside, told.get(beside, ""), values, said, record is not None,
        () if line.circuit else circuits_of(at, plan),
    )  # fmt: skip


def circuits_of(at: AtJob, plan: ProofPlan) -> tuple[tuple[str, str], ...]:
    """Circuits whose leg is known: on these a load step tells what a channel sits on."""
    there = {each.of for each in plan.paths}
    circuits = at.answered.assessment.at.house.circuits
    return tuple((each.id, at.catalog.say(plan.names[each.id])) for each in circuits if each.id in there)


def _verdicts(
    plan: ProofPlan, records: Iterable[Record]
) -> tuple[Mapping[str, ChannelVerdict], Mapping[str, Msg]]:  # fmt: skip
    steps, wrong = steps_of(plan, records)
    return ({each.channel: each for each in proof(plan, steps)} if steps else {}), wrong


def said_of(
    at: AtJob, verdicts: Mapping[str, ChannelVerdict], wrong: Mapping[str, Msg], line: WalkLine
) -> Said:  # fmt: skip
    """What a line comes to; nothing as long as nothing was read."""
    say, ident = at.catalog, line.channel.id
    if ident in wrong:
        return Said("tell", safe(verdict_html(Outcome.CANNOT_TELL, say.say(wrong[ident]))), "")
    verdict = verdicts.get(ident)
    if verdict is None or verdict.key == "not_read":
        return Said("tell", safe(""), "")
    more = (say.say(verdict.test),) if verdict.test is not None else ()
    return Said(OUTCOMES[verdict.outcome], safe(verdict_html(verdict.outcome, say.say(verdict.say))), "", more)


def walk_said(at: AtJob, records: Sequence[Record]) -> dict[str, Said]:
    """Every line's verdict by its place, as typed so far."""
    found = at.answered.assessment
    plan = proof_plan(found.book, found.at)
    verdicts, wrong = _verdicts(plan, records)
    said = {f"said-walk-{each.channel.id}": said_of(at, verdicts, wrong, each) for each in walk_lines(plan)}
    return {**said, TOLD: Said("tell", safe(""), summary(at, verdicts.values()))}


def summary(at: AtJob, verdicts: Iterable[ChannelVerdict]) -> str:
    """How many are proved right, wrong, open."""
    told = [each.outcome for each in verdicts]
    count = len(at.answered.assessment.at.house.channels)
    right, wrong = told.count(Outcome.MEETS), told.count(Outcome.FAILS)
    return at.catalog.key("web.walk.told", right=right, wrong=wrong, open=count - right - wrong)
