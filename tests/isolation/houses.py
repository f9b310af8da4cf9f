"""Small invented houses for isolation, each as the text of a job file."""

from __future__ import annotations

from pathlib import Path

from deadfront.isolation.rules.answer import isolation_answer, plan_of
from deadfront.job.house import house_at
from deadfront.job.model import Job
from deadfront.job.read import read_job
from deadfront.results.isolation import IsolationPlan
from deadfront.topology.house_network import network_of
from deadfront.topology.network import Network

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"
HEAD = '[job]\nname = "Isolation"\ncode.edition = "2023"\n'
PANEL = """
[before.service]
system = "120/240 1ph 3w"
disconnect = { rating_a = 200, lockable = true }
[[before.meters]]
id = "m-1ut"
[[before.panels]]
id = "p-aa"
name = "Main panel"
fed_by = "service"
main_at = "top"
[[before.breakers]]
id = "b-pv"
panel = "p-aa"
spaces = [38, 40]
role = "source"
lockable = true
[[before.breakers]]
id = "b-c1"
panel = "p-aa"
spaces = [1]
lockable = true
[[before.breakers]]
id = "b-c2"
panel = "p-aa"
spaces = [3]
lockable = true
[[before.circuits]]
id = "c-c1"
breaker = "b-c1"
[[before.circuits]]
id = "c-c2"
breaker = "b-c2"
"""
SOLAR = """
[[before.sources]]
id = "s-pv"
name = "Solar"
kind = "solar"
breaker = "b-pv"
inhibit = "Rapid shutdown switch to off"
shutdown_s = 300
"""


def job_of(*parts: str) -> Job:
    """A job of some blocks; all of them must be understood."""
    read = read_job(HEAD + "".join(parts))
    assert not read.problems, [each.msg for each in read.problems]
    return read.job


def full_house() -> Job:
    """The whole house with everything in it."""
    return read_job(FULL.read_text(encoding="utf-8")).job


def network(*parts: str) -> Network:
    """The network of a small house."""
    return network_of(job_of(*parts).before)


def plan(marked: str, *parts: str) -> IsolationPlan:
    """The plan of a zone in a small house."""
    return plan_of(house_at(job_of(*parts), "before"), marked)


def step_plans(*parts: str) -> tuple[IsolationPlan, ...]:
    """The plans of the work in a small house."""
    return isolation_answer(job_of(*parts)).plans


def locks(found: IsolationPlan) -> set[str]:
    """Devices that a plan locks."""
    return {each.device for each in found.locks}


def still_live(found: IsolationPlan) -> set[str]:
    """Places that a plan says stay live."""
    return {each.place for each in found.live}
