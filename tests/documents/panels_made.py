"""Panels made up for tests of drawings: every shape that can be entered, and names of every length, by seed."""

from __future__ import annotations

import random
import string

from deadfront.job.model import Job
from deadfront.job.read import read_job

NAMES = (
    "Range", "Dryer", "A/C", "Water heater", "Countertop outlets, left of the sink", "Lighting, second floor and attic",
    "Bedroom outlets, northeast, and closet on the landing of the second floor", "Bobbie's room", "Lights", "Spare",
    "Baño, planta alta, lado norte", "<b>Heat & pump</b>", "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
    "=1+1", "Sump\tpump\u200b", "冷凍庫 in the garage", "Outside outlets",
    "Kitchen / dining / family room outlets and lights",
)  # fmt: skip
HEAD = """
[job]
format = 1
name = "Made house"
code.edition = "2023"
[before.service]
system = "{system}"
disconnect.rating_a = 200
[[before.panels]]
id = "p-1aa"
name = "{panel}"
fed_by = "service"
bus_a = 200
spaces = {spaces}
main_at = "{main}"
{more}
"""


def made_job(seed: int) -> Job:
    """A job with one panel: sizes from 6 to 84 spaces, tandems, conflicts, breakers without a place."""
    rng = random.Random(seed)
    spaces = rng.choice((6, 8, 12, 20, 24, 30, 31, 40, 42, 60, 84))
    main = rng.choice(("top", "bottom", "center", "none"))
    system = rng.choice(("120/240 1ph 3w", "120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w"))
    more = [f'numbering = "{rng.choice(("odd left", "down"))}"'] if rng.random() < 0.5 else []
    if rng.random() < 0.3:
        more.append(f"reserved = [{spaces}]")
    text = HEAD.format(system=system, spaces=spaces, main=main, more="\n".join(more),
                       panel=rng.choice(("Main panel", "Garage subpanel with a very long name " * 2)))  # fmt: skip
    if rng.random() < 0.5:
        text = text.replace("[before.service]", '[before]\ncomplete = { breakers = "yes", circuits = "yes" }\n'
                            "[before.service]")  # fmt: skip
    text += "".join(_breaker(rng, n, spaces) for n in range(rng.randint(0, spaces)))
    if rng.random() < 0.6:
        text += _work(rng, spaces)
    return read_job(text).job


def _ident(head: str, number: int) -> str:
    letters = string.digits + string.ascii_lowercase
    return f"{head}-{letters[number // 36]}{letters[number % 36]}x"


def _name(rng: random.Random) -> str:
    return rng.choice(NAMES).replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t")


def _breaker(rng: random.Random, number: int, spaces: int) -> str:
    """A breaker somewhere: whole, of two poles, half, in taken spaces, beyond the last, in none, apart."""
    space = rng.randint(1, spaces + (2 if rng.random() < 0.05 else 0))
    shape = rng.random()
    where, half, poles = f"[{space}]", "", 1
    if shape < 0.2:
        where, poles = f"[{space}, {space + 2}]", 2
    elif shape < 0.4:
        half = f'half = "{rng.choice("ab")}"\n'
    elif shape < 0.45:
        where = "[]"
    elif shape < 0.5:
        where, poles = f"[{space}, {max(1, space - 5)}]", 2
    ident = _ident("b", number)
    told = f'[[before.breakers]]\nid = "{ident}"\npanel = "p-1aa"\nspaces = {where}\n{half}poles = {poles}\n'
    told += f"rating_a = {rng.choice((15, 20, 30, 100))}\n" if rng.random() < 0.9 else ""
    told += "controllable = true\n" if rng.random() < 0.1 else ""
    told += 'role = "source"\n' if rng.random() < 0.05 else ""
    if rng.random() < 0.85:
        told += f'[[before.circuits]]\nid = "{_ident("c", number)}"\nname = "{_name(rng)}"\nbreaker = "{ident}"\n'
    return told


def _work(rng: random.Random, spaces: int) -> str:
    return (
        f'[[work]]\nid = "w-1aa"\nsay = "Work"\n[[work.add.breakers]]\nid = "b-zzz"\npanel = "p-1aa"\n'
        f'spaces = [{rng.randint(1, spaces)}]\nrating_a = 20\npoles = 1\n[[work.add.circuits]]\nid = "c-zzz"\n'
        f'name = "{_name(rng)}"\nbreaker = "b-zzz"\n'
    )
