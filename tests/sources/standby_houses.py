"""An invented house with a generator behind transfer equipment, every fact of it to be changed."""

from __future__ import annotations

from typing import Any

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.answer import circuits_answer
from deadfront.codebook import open_book
from deadfront.job.read import read_job
from deadfront.loads.rules.answer import load_answer
from deadfront.sources.rules.facts import SourceFacts

BASE = """
[job]
format = 1
name = "9 Fern Hollow"
code.edition = "{edition}"

[before]
complete = {{ sources = "yes", circuits = "yes", loads = "yes", breakers = "yes", panels = "yes", transfers = "yes" }}
[before.service]
system = "120/240 1ph 3w"
disconnect = {{ rating_a = 200 }}
outside = {{ present = "no" }}
grounding = {{ bonding_jumper = "{jumper}" }}
[[before.panels]]
id = "p-1ma"
name = "Main panel"
fed_by = "service"
bus_a = 200
spaces = 40
neutral_joined = "yes"
service_equipment = "yes"
[[before.breakers]]
id = "b-1tr"
panel = "p-1ma"
spaces = [2, 4]
rating_a = 60
poles = 2
role = "feeder"
{found}
[[work]]
id = "w-1aa"
say = "Standby"
{work}
"""
TRANSFER = {
    "id": "t-1aa", "name": "Transfer switch", "kind": "manual switch", "normal": "b-1tr", "alternate": ["s-1ge"],
    "excludes": True, "neutral_switched": False, "neutral_joined": "no", "service_equipment": False, "rating_a": 100,
    "load_connected": "by hand",
}  # fmt: skip
SET = {
    "id": "s-1ge", "name": "Generator", "kind": "generator", "joins": "transfer", "neutral_bonded": False,
    "portable": False, "output_a": 50, "output_w": 12000, "volts": 240, "output_breaker_a": 60,
    "bonding_sign": True, "system_grounded": True, "ground_fault_protected": False,
}  # fmt: skip
BACKED = {"id": "p-2bu", "name": "Backed-up panel", "fed_by": "t-1aa", "bus_a": 100, "spaces": 12,
          "neutral_joined": "no", "service_equipment": "no"}  # fmt: skip


def thing(collection: str, fields: dict[str, Any], where: str = "work.add") -> str:
    """A block of a job file."""
    told = {True: "true", False: "false"}
    lines = [f"{k} = {told[v] if isinstance(v, bool) else v if isinstance(v, int) else _text(v)}"
             for k, v in fields.items() if v is not None]  # fmt: skip
    return "\n".join((f"[[{where}.{collection}]]", *lines, ""))


def _text(value: Any) -> str:
    return "[" + ", ".join(f'"{each}"' for each in value) + "]" if isinstance(value, list) else f'"{value}"'


def text_of(*blocks: str, found: str = "", edition: str = "2023", jumper: str = "yes") -> str:
    """The job file of the house with blocks that the work adds and blocks as found."""
    return BASE.format(work="\n".join(blocks), found=found, edition=edition, jumper=jumper)


def facts_of_text(text: str) -> SourceFacts:
    """What the rules are handed for a job file; every block of it must be read."""
    read = read_job(text)
    assert not read.problems, [each.msg for each in read.problems]
    job = read.job
    context = context_of(job, open_book(job.job.code.edition))
    load = load_answer(context, job.choices.rely_on)
    circuits = circuits_answer(facts_of(context, load, None))
    return SourceFacts(context.book, context.at, load, circuits)


def standby_text(
    *more: str, transfer: dict[str, Any] | None = None, source: dict[str, Any] | None = None,
    panel: dict[str, Any] | None = None, **base: str,
) -> str:  # fmt: skip
    """The house with its generator, switch and backed-up panel, facts changed as given."""
    blocks = [thing("transfers", {**TRANSFER, **(transfer or {})}), thing("sources", {**SET, **(source or {})}),
              thing("panels", {**BACKED, **(panel or {})})]  # fmt: skip
    return text_of(*blocks, *more, **base)


def standby_facts(*more: str, **changed: Any) -> SourceFacts:
    """What the rules are handed for that house."""
    return facts_of_text(standby_text(*more, **changed))


__all__ = ["SET", "TRANSFER", "facts_of_text", "standby_facts", "standby_text", "text_of", "thing"]
