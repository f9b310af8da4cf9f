"""What a source counts for [A]: 125 percent of its output, or the setting of a power control system."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.quantities import between
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Truth = bool | None
RULE = "power_control_system"


class Told(NamedTuple):
    """Whether something is so, and which facts would tell where it is not known."""

    truth: Truth
    lacking: tuple[Missing, ...] = ()


def all_of(values: Iterable[Truth]) -> Truth:
    """False if one is not so, True if all are, else not known."""
    found = tuple(values)
    return False if False in found else None if None in found else True


def volts_of(facts: SourceFacts, source: Source) -> Step:
    """Volts of a source: as marked, else those of the service."""
    ident = f"source/{source.id}/volts"
    if source.volts is not None:
        return facts.fact(ident, "source.volts", source, "volts", inline=True)
    system = facts.at.house.service.system
    if system == "120/240 1ph 3w":
        return facts.given(ident, "nominal_volts_240")
    missing = facts.lack(source, "volts")
    return build.fact(ident, "source.volts", between(208, 240), "V", facts.at.path(source, "volts"), missing=missing,
                      inline=True)  # fmt: skip


def output_of(facts: SourceFacts, source: Source) -> Step:
    """Continuous output current of a source [A]: as marked, else its watts over its volts."""
    ident = f"source/{source.id}/output"
    name = said("source.output_of", name=facts.name_of(source))
    if source.output_a is not None or source.output_w is None:
        return facts.fact(ident, name, source, "output_a")
    watts = facts.fact(f"{ident}/watts", "source.watts", source, "output_w", inline=True)
    return build.quotient(ident, name, watts, volts_of(facts, source))


def plain(facts: SourceFacts, source: Source) -> Step:
    """What a source counts for without a power control system: 125 percent of its output [A]."""
    entry = facts.book.value("source_current_percent")
    return build.percent_of(f"source/{source.id}/counted", said("source.counted", name=facts.name_of(source)),
                            output_of(facts, source), entry.number, unit="A", cite=entry.cite)  # fmt: skip


def has_setting(facts: SourceFacts, source: Source) -> bool:
    """Whether a setting is entered and the edition lets one count."""
    return source.control_limit_a is not None and facts.in_force(RULE)


def control_holds(facts: SourceFacts, source: Source) -> Told:
    """Whether the setting may count: a listed system, out of reach of all but the qualified, that fails safe."""
    system = facts.systems.get(source.managed_by or "")
    if system is None:
        return Told(None, (facts.lack(source, "managed_by"),))
    safe = None if system.lost_signal is None else system.lost_signal != "no limit"
    watched = None if system.monitors is None else True
    truth = all_of((system.listed, system.restricted_access, safe, watched))
    return Told(truth, facts.missing(system, "listed", "restricted_access", "lost_signal", "monitors"))


def counted(facts: SourceFacts, joint: Joint, controlled: bool) -> Step:
    """What a source counts for on a bus [A]; from nothing upward where it may never run with the utility."""
    source = joint.source
    amount = plain(facts, source)
    if controlled and has_setting(facts, source):
        setting = facts.fact(f"source/{source.id}/setting", "source.setting", source, "control_limit_a")
        amount = build.least(f"source/{source.id}/controlled", said("source.controlled", name=facts.name_of(source)),
                             (setting, amount), unit="A", cite=facts.cite(RULE))  # fmt: skip
    if joint.parallel is not None:
        return amount
    none = build.given(f"source/{source.id}/apart", "source.kept_apart", 0, "A", None)
    return build.between_cases(f"source/{source.id}/perhaps", amount.name, none, amount, unit="A",
                               missing=(apart_by(facts, joint),))  # fmt: skip


def apart_by(facts: SourceFacts, joint: Joint) -> Missing:
    """The fact that tells whether a source runs together with the utility."""
    if joint.transfer is not None and joint.transfer.kind != "isolation device":
        return facts.lack(joint.transfer, "excludes")
    if joint.breaker is not None and joint.source.kind in ("generator", "inlet"):
        return facts.lack(joint.breaker, "kept_apart")
    return facts.lack(joint.source, "interactive")
