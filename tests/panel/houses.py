"""A house with one panel as a job file, to be changed by a test."""

from __future__ import annotations

from deadfront.assess import Assessment, assess
from deadfront.codebook import open_book
from deadfront.job.read import read_job
from deadfront.results.panel import PanelResult
from deadfront.worksheet.check import Check

HOUSE = """
[job]
format = 1
name = "7 Quarry Lane"
place = "Fennimore Bend"
code.edition = "2023"
existing = true

[before]
complete = {{ panels = "yes", breakers = "yes", circuits = "yes" }}
[before.service]
system = "120/240 1ph 3w"
disconnect = {{ rating_a = 100 }}

[[before.panels]]
id = "p-k3m"
name = "Main panel"
fed_by = "service"
bus_a = 125
spaces = 8
circuits_max = 12
main_at = "top"
{panel}

{breakers}
{more}
"""


def breaker(ident: str, spaces: str, load_va: int | None = None, *more: str, poles: int = 1, name: str = "") -> str:
    """A breaker with a circuit of its own."""
    load = "" if load_va is None else f"load_va = {load_va}\n"
    rating = 20 if poles == 1 else 40
    extra = "\n".join(more)
    return f"""
[[before.breakers]]
id = "b-{ident}"
panel = "p-k3m"
spaces = [{spaces}]
poles = {poles}
rating_a = {rating}
{extra}

[[before.circuits]]
id = "c-{ident}"
name = "{name or ident}"
breaker = "b-{ident}"
{load}"""


def house(*breakers: str, panel: str = "", more: str = "") -> str:
    """The text of a job."""
    return HOUSE.format(panel=panel, breakers="\n".join(breakers), more=more)


def assessed(text: str, at: str | None = None) -> Assessment:
    """A job assessed; nothing of it may be unreadable."""
    read = read_job(text, file="house.toml")
    assert read.problems == (), read.problems
    return assess(read.job, open_book("2023"), at)


def panel(text: str, at: str | None = None) -> PanelResult:
    """The first panel of a job."""
    return assessed(text, at).panels[0]


def found(text: str, ident: str, at: str | None = None) -> list[Check]:
    """The checks of one id."""
    return [check for check in assessed(text, at).checks if check.id == ident]
