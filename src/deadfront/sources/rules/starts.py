"""The largest motor that a standby source must start: how far its voltage drops, or whether its surge is enough."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.codebook.kinds import load_kinds
from deadfront.job.load_things import Load
from deadfront.job.source_things import Source
from deadfront.results.sources import StartAnswer
from deadfront.sources.rules.amounts import output_of, volts_of
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.sides import panels_behind, sources_of
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

# Usual limits of design, from memory: above the first lamps and electronics are troubled, above the second contactors
# may drop out and the motor may not start.
TROUBLE_PERCENT, MOST_PERCENT = Decimal(15), Decimal(30)
THOUSAND, HUNDRED = Decimal(1000), Decimal(100)


def start_answers(facts: SourceFacts) -> tuple[StartAnswer, ...]:
    """One answer for each generator and battery behind transfer equipment that has a motor to start."""
    return facts.once(_every)


def _every(facts: SourceFacts) -> tuple[StartAnswer, ...]:
    return tuple(_all(facts))


def _all(facts: SourceFacts) -> Iterator[StartAnswer]:
    done: set[str] = set()
    for transfer in facts.at.house.transfers:
        behind = {each.id for each in panels_behind(facts, transfer)}
        motors = [each for each in facts.at.house.loads if is_motor(each) and _panel(facts, each) in behind]
        for source in sources_of(facts, transfer):
            if motors and source.id not in done and source.kind in ("generator", "battery"):
                done.add(source.id)
                yield _answer(facts, source, motors)


def is_motor(load: Load) -> bool:
    """Whether a load starts with a surge: as entered, else by its kind."""
    kind = load_kinds().get(load.kind)
    return bool(load.hp is not None or (kind is not None and kind.motor if load.motor is None else load.motor))


def _panel(facts: SourceFacts, load: Load) -> str | None:
    circuit = next((each for each in facts.at.house.circuits if each.id == load.circuit), None)
    panel = facts.panel_of(facts.breakers.get(circuit.breaker or "")) if circuit is not None else None
    return panel.id if panel is not None else None


def _answer(facts: SourceFacts, source: Source, motors: list[Load]) -> StartAnswer:
    known = [each for each in motors if each.locked_rotor_a is not None]
    missing = tuple(facts.lack(each, "locked_rotor_a") for each in motors if each.locked_rotor_a is None)
    largest = max(known, key=lambda each: each.locked_rotor_a or Decimal(0), default=motors[0])
    locked = facts.fact(f"start/{source.id}/locked", "source.locked", largest, "locked_rotor_a")
    judge = _dip if source.kind == "generator" else _surge
    figure, outcome = judge(facts, source, locked)
    if missing and outcome is Outcome.MEETS:
        outcome = Outcome.CANNOT_TELL
    lacks: dict[str, Missing] = {each.path: each for each in (*missing, *figure.all_missing())}
    return StartAnswer(source.id, largest.id, facts.name_of(source), facts.name_of(largest), figure, outcome,
                       tuple(lacks.values()) if outcome is Outcome.CANNOT_TELL else ())  # fmt: skip


def _rated(facts: SourceFacts, source: Source) -> Step:
    """Current of the set at its rating [A]; on one leg a motor meets the same share of it as on both."""
    if source.rated_kva is None:
        return output_of(facts, source)
    kva = facts.fact(f"start/{source.id}/kva", "source.rated_kva", source, "rated_kva", inline=True)
    scale = build.given(f"start/{source.id}/scale", "source.scale", THOUSAND, "", None)
    va = build.product(f"start/{source.id}/va", "source.rated_va", (kva, scale), unit="VA")
    return build.quotient(f"start/{source.id}/rated", "source.rated_a", va, volts_of(facts, source))


def _dip(facts: SourceFacts, source: Source, locked: Step) -> tuple[Step, Outcome]:
    """s X / (1 + s X): the start taken as reactive, nothing running before, which is the deeper dip of a start."""
    ident = f"start/{source.id}"
    rated, percent = _rated(facts, source), facts.fact(f"{ident}/x", "source.reactance", source, "subtransient_percent")
    if rated.value.low == 0:
        return build.total(f"{ident}/open", "source.dip", (percent, locked, rated), unit="%"), Outcome.CANNOT_TELL
    share = build.quotient(f"{ident}/share", "source.start_share", locked, rated, unit="")
    raised = build.product(f"{ident}/raised", "source.start_drop", (share, percent), unit="%")
    whole = build.given(f"{ident}/whole", "source.start_whole", HUNDRED, "%", None)
    behind = build.total(f"{ident}/behind", "source.start_behind", (whole, raised), unit="%")
    part = build.quotient(f"{ident}/part", "source.start_part", raised, behind, unit="")
    dip = build.product(f"{ident}/dip", "source.dip", (part, whole), unit="%")
    if dip.value.high is not None and dip.value.high <= TROUBLE_PERCENT:
        return dip, Outcome.MEETS
    return dip, Outcome.FAILS if dip.value.low > MOST_PERCENT else Outcome.CANNOT_TELL


def _surge(facts: SourceFacts, source: Source, locked: Step) -> tuple[Step, Outcome]:
    surge = facts.fact(f"start/{source.id}/surge", "source.surge", source, "surge_a")
    left = build.minus(f"start/{source.id}/left", "source.surge_short", locked, surge, unit="A")
    return left, at_most(locked.value, surge.value)
