"""Edits of what is no line of a list: origins, energy management, the steps of the work, local amendments."""

from __future__ import annotations

from datetime import date
from typing import Any

from deadfront.codebook import Amendment, amendment_from_dict, as_dict, open_book, read_amendments
from deadfront.errors import NotFound
from deadfront.job.things import EnergyManagement
from deadfront.web.changing import fresh, work_wanted
from deadfront.web.desk import AtJob
from deadfront.web.entry import typed as t
from deadfront.web.entry.facts import anchored, shape_of
from deadfront.web.entry.places import EditData, added, found, struck_out, work_step
from deadfront.web.fields import ORIGINS
from deadfront.web.views.typed import Form, field_of

LONGEST_AMENDMENT = 100_000


def origin_edits(at: AtJob, form: Form) -> list[EditData]:
    """The edit that says where a fact comes from, or that nothing is said of it any more.

    Raises:
        BadEntry: no such fact, kind of origin, or date.
    """
    path, kind = anchored(field_of(form, "of")), t.clean(field_of(form, "from"))
    if not path or "." not in path:
        raise t.BadEntry("of", "entry.not_allowed", found=field_of(form, "of")[:60], allowed=ORIGINS)
    shape_of(at.job, path)
    old = next((origin for origin in at.job.origins if origin.of == path), None)
    if not kind:
        return [{"do": "drop_origin", "path": path}] if old else []
    allowed = ORIGINS if old is None else (*ORIGINS, old.origin)
    if kind not in allowed:
        raise t.BadEntry("from", "entry.not_allowed", found=kind[:60], allowed=allowed)
    made: dict[str, Any] = {"of": path, "from": kind}
    made |= {"who": t.text_of("who", field_of(form, "who"), longest=80), "on": _day(field_of(form, "on"))}
    kept = {} if old is None else {"photo": old.photo or None, "note": old.note or None}
    now = {} if old is None else old.model_dump(mode="json", by_alias=True)
    made = {name: value for name, value in (made | kept).items() if value is not None}
    if old is not None and made == {name: value for name, value in now.items() if value not in (None, "")}:
        return []
    return [{"do": "set_origin", **made}]


def _day(text: str) -> str | None:
    text = t.clean(text)
    if not text:
        return None
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise t.BadEntry("on", "entry.not_a_day", found=text[:60]) from error


def system_edits(at: AtJob, form: Form) -> list[EditData]:
    """The edits that add an energy management system, found or new."""
    wanted, step = work_wanted(at.job, field_of(form, "work"))
    made: list[EditData] = []
    if wanted == "N" and not step:
        step, made = work_step(at.job, fresh(at)("w"), at.catalog.key("web.new_work"))
    name = t.text_of("name", field_of(form, "name")) or at.catalog.key("web.system.unnamed")
    return [*made, added(step if wanted == "N" else "before", "energy_management", fresh(at)("e"), {"name": name})]


def system_out(at: AtJob, ident: str) -> list[EditData]:
    """The edit that strikes out a system.

    Raises:
        NotFound: no such system.
    """
    line = found(at.job, "energy_management", ident)
    if line is None:
        raise NotFound("web.not_found")
    return [struck_out(line)]


def control_edits(at: AtJob, ident: str, form: Form) -> list[EditData]:
    """The edit that says which loads a system controls: those whose boxes are ticked.

    Raises:
        NotFound: no such system.
    """
    line = found(at.job, "energy_management", ident)
    if line is None or not isinstance(line.thing, EnergyManagement):
        raise NotFound("web.not_found")
    ticked = [name.removeprefix("load.") for name, value in form.items() if name.startswith("load.") and value == "yes"]
    ticked = [each for each in ticked if found(at.job, "loads", each)]
    others = [each for each in line.thing.controls if not found(at.job, "loads", each)]  # a circuit, a breaker
    wanted = [*others, *ticked]
    if wanted == list(line.thing.controls):
        return []
    return [{"do": "set", "path": f"{line.scope}/{ident}.controls", "value": wanted or None}]


def step_edits(at: AtJob, form: Form) -> list[EditData]:
    """The edits of the steps of the work: one added, moved up or down, or struck out with all it does.

    Raises:
        BadEntry: a new step without a name.
        NotFound: no such step.
    """
    does, ident = field_of(form, "does"), field_of(form, "step")
    if does == "add":
        say = t.text_of("say", field_of(form, "say"))
        if say is None:
            raise t.BadEntry("say", "entry.step_name")
        return [{"do": "add_step", "id": fresh(at)("w"), "say": say}]
    steps = [step.id for step in at.job.work]
    if ident not in steps:
        raise NotFound("web.not_found")
    if does == "drop":
        return [{"do": "drop_step", "id": ident}]
    place = steps.index(ident)
    other = place + {"up": -1, "down": 1}.get(does, 0)
    if other == place or not 0 <= other < len(steps):
        return []
    steps[place], steps[other] = steps[other], steps[place]
    return [{"do": "order_steps", "ids": steps}]


def amendment_of(at: AtJob, form: Form) -> Amendment:
    """The amendment pasted, tried against the job's edition together with those there are.

    Raises:
        BadEntry: no name or no text.
        JobUnreadable: a text that cannot be understood; says what and where.
        NotAllowed: it amends what this edition does not have.
    """
    name, text = t.text_of("name", field_of(form, "name")), field_of(form, "text")
    if name is None or not text.strip():
        raise t.BadEntry("name", "entry.amendment_needed")
    if len(text) > LONGEST_AMENDMENT:
        raise t.BadEntry("text", "entry.too_long", found=len(text), allowed=LONGEST_AMENDMENT)
    made = read_amendments(text, name)
    others = [each for each in held(at) if each.name != name]
    open_book(at.job.job.code.edition, amendments=(*others, made))
    return made


def held(at: AtJob) -> list[Amendment]:
    """The amendments that travel in the job."""
    return [amendment_from_dict(dict(table)) for table in at.job.amendments]


def amendment_edits(at: AtJob, made: Amendment) -> list[EditData]:
    """The edit that puts an amendment in force, in place of one of the same name."""
    others = [each for each in held(at) if each.name != made.name]
    return [{"do": "set_amendments", "amendments": [as_dict(each) for each in (*others, made)]}]


def amendment_out(at: AtJob, name: str) -> list[EditData]:
    """The edit that takes an amendment out of force.

    Raises:
        NotFound: none of that name.
    """
    left = [each for each in held(at) if each.name != name]
    if len(left) == len(held(at)):
        raise NotFound("web.not_found")
    return [{"do": "set_amendments", "amendments": [as_dict(each) for each in left]}]
