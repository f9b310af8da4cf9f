"""A house of 40 circuits with its facts in: all checks against the loads alone, warm, one circuit edited each time."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from deadfront.assess.run import assess, context_of, facts_of
from deadfront.circuits.rules.answer import circuits_answer
from deadfront.codebook import open_book
from deadfront.job.model import Job
from deadfront.job.read import read_job
from deadfront.loads.rules.answer import load_answer

ROOMS = ("kitchen", "bedroom", "living", "bathroom", "garage", "hallway", "laundry", "outdoors")
KINDS = ("water_heater", "dishwasher", "disposal", "microwave", "garage_door", "sump_pump", "evse", "space_heat")
HEAD = """
[job]
name = "Bench"
code.edition = "2023"
existing = true
permit_on = 2026-05-12
[before]
complete = { loads = "yes", panels = "yes", breakers = "yes", circuits = "yes" }
[before.service]
system = "120/240 1ph 3w"
disconnect = { rating_a = 200, sccr_ka = 22 }
conductors = { size = "4/0", metal = "aluminum", needs_correction = false, length_ft = 30, terminals_c = 75 }
utility = { limit = "none", fault_current_ka = 14 }
[[before.meters]]
id = "m-00"
socket_a = 200
[[before.panels]]
id = "p-00"
name = "Main panel"
fed_by = "service"
bus_a = 200
spaces = 60
[[before.units]]
id = "u-00"
floor_area_ft2 = 2600
"""


def furnished_house(circuits: int = 40, length_ft: int = 40) -> str:
    """A job file of a house whose every circuit is described; the first circuit has the given length."""
    lines = [HEAD]
    for n in range(circuits):
        room, size = ROOMS[n % len(ROOMS)], ("14", "12")[n % 2]
        lines.append(
            f'[[before.breakers]]\nid = "b-{n:02}"\npanel = "p-00"\nspaces = [{n + 1}]\nrating_a = {15 + 5 * (n % 2)}\n'
            f'poles = 1\ninterrupting_ka = 10\nprotection = "plain"\n'
            f'[[before.circuits]]\nid = "c-{n:02}"\nname = "Circuit {n}"\nbreaker = "b-{n:02}"\nrooms = ["{room}"]\n'
            f'outlet_kinds = ["receptacles"]\n'
            f'cable = {{ type = "NM-B", size = "{size}", metal = "copper", conductors = 2, '
            f'length_ft = {length_ft if n == 0 else 30 + n}, runs = ["wall"], terminals_c = 60 }}\n'
        )
        if n < 30:
            kind = KINDS[n % len(KINDS)]
            load = f'id = "l-{n:02}"\nkind = "{kind}"\ncircuit = "c-{n:02}"'
            lines.append(f"[[before.loads]]\n{load}\nnameplate_w = 900\n")
    return "\n".join(lines)


def checking(taken: Callable[[Callable[[], object], int], tuple[float, float]]) -> Iterator[tuple[str, float, float]]:
    """What was measured, its best time and noise [s]: the whole assessment; loads with circuits; the loads alone."""
    book = open_book("2023")
    jobs: list[Job] = [read_job(furnished_house(length_ft=40 + n)).job for n in range(31)]
    assess(jobs[-1], book)

    def circuits(job: Job) -> object:
        context = context_of(job, book)
        return circuits_answer(facts_of(context, load_answer(context), job.job.permit_on))

    def loads(job: Job) -> object:
        return load_answer(context_of(job, book))

    for name, work in (("whole", lambda job: assess(job, book)), ("circuits", circuits), ("loads", loads)):
        edited = iter(jobs)
        yield (name, *taken(lambda work=work, edited=edited: work(next(edited)), 30))  # type: ignore[misc]
