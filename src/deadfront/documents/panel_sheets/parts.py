"""The parts of the work: what to bring, by what it adds and replaces; what is taken out; what stays open."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal

from deadfront.documents.conductor_text import METAL
from deadfront.documents.panel_sheets.face import breakers_in, fed_by
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Cable, Panel
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

ALLOWANCE = "parts_cutting_allowance"
ALLOWANCE_PERCENT = Decimal(110)
"""Length to bring for a length run: ten percent more for cutting and slack, an assumption printed on the sheet."""
SECTIONS = ("panels", "breakers", "conductors", "raceways", "lugs", "grounding", "closing", "labels", "out")


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the list.

    Args:
        section: One of SECTIONS.
        what: The part in words.
        count: How many; None where a length is given, or where it is not known.
        length: Length to bring, with its working [ft].
        used: What it is for, by name.
        note: What must still be read or chosen; None: nothing.
    """

    section: str
    what: Msg
    count: int | None = None
    length: Step | None = None
    used: tuple[str, ...] = ()
    note: Msg | None = None

    @property
    def quantity(self) -> Interval:
        """How many, or how long [ft]."""
        if self.length is not None:
            return self.length.value
        return UNKNOWN if self.count is None else point(self.count)


@dataclass
class _Group:
    """Alike parts added together."""

    what: Msg
    count: int = 0
    lengths: list[Step] = field(default_factory=list)
    used: list[str] = field(default_factory=list)
    note: Msg | None = None


def parts_of(at: HouseAt, found: HouseAt | None) -> tuple[Part, ...]:
    """Every part that the work from the house as found to this step asks for."""
    if found is None:
        return ()
    made = (
        *_panels(at), *_breakers(at), *_conductors(at, found), *_raceways(at), *_lugs(at), *_grounding(at),
        *_closing(at, found), *_labels(at), *_taken_out(at, found),
    )  # fmt: skip
    return tuple(sorted(made, key=lambda part: SECTIONS.index(part.section)))


def _new(at: HouseAt, ident: str) -> bool:
    return ident in at.tags and at.tag(ident) == "N"


def _touched(at: HouseAt, ident: str, field_name: str) -> bool:
    """Whether the work makes a thing, or sets that field of it."""
    return _new(at, ident) or field_name in at.set_fields.get(ident, frozenset())


def _panels(at: HouseAt) -> Iterator[Part]:
    for panel in at.house.panels:
        if _new(at, panel.id):
            spaces, bus = panel.spaces or "?", panel.bus_a or "?"
            yield Part("panels", said("part.panel", spaces=spaces, bus=bus, mounting=_word("mounting", panel.mounting)),
                       1, used=(panel.name or panel.id,))  # fmt: skip


def _word(kind: str, value: str | None) -> Msg:
    return said(f"part.{kind}.{value}") if value else said("part.unread")


def breaker_part(breaker: Breaker) -> Msg:
    """A breaker as it is ordered: rating, poles, protection, size."""
    protection = (breaker.protection or "unread").replace(" ", "_")
    size = "half" if breaker.half else "full"
    kind = "controllable" if breaker.controllable else "breaker"
    rating = breaker.rating_a if breaker.rating_a is not None else "?"
    poles = breaker.poles or (len(breaker.spaces) if len(breaker.spaces) in (1, 2) else "?")
    return said(f"part.{kind}", rating=rating, poles=poles, protection=said(f"part.protection.{protection}"),
                size=said(f"part.size.{size}"))  # fmt: skip


def _breakers(at: HouseAt) -> Iterator[Part]:
    """New breakers, alike ones together; ties for those that open together."""
    groups: dict[tuple[object, ...], _Group] = {}
    names = fed_by(at)
    for breaker in at.house.breakers:
        if not _new(at, breaker.id):
            continue
        key = (breaker.rating_a, breaker.poles or len(breaker.spaces), breaker.protection, breaker.controllable,
               bool(breaker.half), breaker.listed_for_panel)  # fmt: skip
        group = groups.setdefault(key, _Group(breaker_part(breaker)))
        group.count += 1
        group.used += names.get(breaker.id, (breaker.name or breaker.id,))
        if breaker.protection is None:
            group.note = said("part.note.protection")
        elif breaker.listed_for_panel is not True:
            group.note = said("part.note.listed")
    for group in groups.values():
        yield Part("breakers", group.what, group.count, used=tuple(group.used), note=group.note)
    tied = new_ties(at)
    if tied:
        used = tuple(dict.fromkeys(name for pair in tied for each in pair for name in names.get(each, (each,))))
        yield Part("breakers", said("part.tie"), len(tied), used=used, note=said("part.note.listed"))


def new_ties(at: HouseAt) -> tuple[tuple[str, str], ...]:
    """Pairs of breakers that the work ties: by what is entered, or hots of one neutral that it puts in or moves."""
    breakers = {each.id: each for each in at.house.breakers}
    circuits = {each.id: each for each in at.house.circuits}
    found: set[tuple[str, str]] = set()
    for breaker in breakers.values():
        other = breaker.tied_with or ""
        if other in breakers and (_touched(at, breaker.id, "tied_with") or _new(at, other)):
            found.add((min(breaker.id, other), max(breaker.id, other)))
    entered = {frozenset({each.id, each.tied_with}) for each in breakers.values()}
    for circuit in circuits.values():
        partner = circuits.get(circuit.shares_neutral_with or "")
        pair = [breakers.get(each.breaker or "") for each in (circuit, partner) if each is not None]
        both = [each for each in pair if each is not None and (each.poles or len(each.spaces)) == 1]
        if len(both) < 2 or both[0] is both[1] or frozenset({both[0].id, both[1].id}) in entered:
            continue
        one, two = sorted(each.id for each in both)
        moved = any(at.tag(each.id) in ("N", "RL") and each.spaces for each in both)
        if moved and not any(each.opens_with_partner for each in both):
            found.add((one, two))
    return tuple(sorted(found))


def _conductors(at: HouseAt, found: HouseAt) -> Iterator[Part]:
    """Cables of new circuits and feeders, alike ones together, with the allowance for cutting."""
    groups: dict[tuple[object, ...], _Group] = {}
    for ident, name, held, cable, length in _runs(at, found):
        key = (cable.type, cable.size, cable.metal, cable.conductors, cable.ground_size)
        group = groups.setdefault(key, _Group(_cable(cable)))
        group.used.append(name)
        if cable.raceway is not None:
            group.note = said("part.note.raceway")
        elif None in (cable.type, cable.size, cable.metal, cable.conductors):
            group.note = said("part.note.cable")
        path = f"{ident}.{held}.length_ft"
        group.lengths.append(build.fact(f"part/{ident}", said("thing.named", name=name), length, "ft", path))
    for number, group in enumerate(groups.values()):
        yield Part("conductors", group.what, length=_with_allowance(f"part/cable/{number}", group), note=group.note,
                   used=tuple(group.used))  # fmt: skip


def _runs(at: HouseAt, found: HouseAt) -> Iterator[tuple[str, str, str, Cable, Interval]]:
    """Every cable that the work puts in: of what, its name, the field that holds it, the cable, the length to run."""
    old = {each.id: each.cable for each in found.house.circuits} | {each.id: each.feeder for each in found.house.panels}
    every = [(c.id, c.name or c.id, "cable", c.cable) for c in at.house.circuits]
    every += [(p.id, p.name or p.id, "feeder", p.feeder) for p in at.house.panels if p.fed_by not in ("service", None)]
    for ident, name, held, cable in every:
        if _touched(at, ident, held):
            length = _run_ft(cable, old.get(ident))
            if length is not None:
                yield ident, name, held, cable, length


def _run_ft(cable: Cable, before: Cable | None) -> Interval | None:
    """Length to run [ft]: all of another cable, what was added to the same one; None: nothing."""
    same = before is not None and all(
        getattr(before, name) == getattr(cable, name) for name in ("type", "size", "metal", "conductors", "sets")
    )
    if cable.length_ft is None:
        return None if same else UNKNOWN
    whole = cable.length_ft * (cable.sets or 1)
    if not same or before is None or before.length_ft is None:
        return None if same else point(whole)
    more = whole - before.length_ft * (before.sets or 1)
    return point(more) if more > 0 else None


def _with_allowance(ident: str, group: _Group) -> Step:
    """Length run, and ten percent more [ft]."""
    run = group.lengths[0]
    if len(group.lengths) > 1:
        run = build.total(f"{ident}/run", "part.run", group.lengths, unit="ft")
    bring = build.percent_of(ident, group.what, run, ALLOWANCE_PERCENT, unit="ft")
    return replace(bring, assumed=(*bring.assumed, ALLOWANCE))


def _cable(cable: Cable) -> Msg:
    """A cable as it is ordered; what of it is known, where not all is."""
    if cable.type is None or cable.size is None or cable.conductors is None or cable.metal is None:
        core = f"{cable.size}-{cable.conductors}" if cable.size and cable.conductors else cable.size
        known = [each for each in (cable.type, core, METAL.get(cable.metal or "")) if each]
        return said("part.cable_partly", known=" ".join(known)) if known else said("part.cable_unread")
    core = f"{cable.size}-{cable.conductors}"
    ground = said("part.ground", size=cable.ground_size) if cable.ground_size else said("part.ground_by_cable")
    metal = METAL.get(cable.metal, "?")
    return said("part.cable", type=cable.type, core=core, metal=metal, ground=ground)


def _raceways(at: HouseAt) -> Iterator[Part]:
    """New raceways and the conductors in them."""
    for raceway in at.house.raceways:
        if not _new(at, raceway.id):
            continue
        name = raceway.name or raceway.id
        run = point(raceway.length_ft) if raceway.length_ft is not None else UNKNOWN
        what = said("part.raceway", kind=raceway.kind or "?", size=raceway.trade_size or "?")
        fact = build.fact(f"part/{raceway.id}", said("thing.named", name=name), run, "ft", f"{raceway.id}.length_ft")
        yield Part("raceways", what, length=_with_allowance(f"part/{raceway.id}/bring", _Group(what, lengths=[fact])),
                   used=(name,))  # fmt: skip
        for number, wires in enumerate(raceway.wires):
            wire = said("part.wire_bare" if wires.bare else "part.wire", size=wires.size, insulation=wires.insulation)
            ident = f"part/{raceway.id}/{number}"
            each = build.fact(f"{ident}/run", said("part.wires", count=wires.count, name=name),
                              Interval(run.low * wires.count, None if run.high is None else run.high * wires.count),
                              "ft", f"{raceway.id}.wires")  # fmt: skip
            yield Part("raceways", wire, length=_with_allowance(ident, _Group(wire, lengths=[each])), used=(name,))
    boxes = [box for box in at.house.boxes if _new(at, box.id)]
    for box in boxes:
        what = said("part.box", what=box.standard or (f"{box.volume_in3} in³" if box.volume_in3 else "?"))
        yield Part("raceways", what, 1, used=(box.name or box.id,))


def _lugs(at: HouseAt) -> Iterator[Part]:
    """Lugs for what ends in a new panel on lugs: its feeder or service conductors and their neutral."""
    service = at.house.service.conductors
    hots = 3 if at.house.service.system == "208Y/120 3ph 4w" else 2
    for panel in at.house.panels:
        if not _new(at, panel.id):
            continue
        served = panel.fed_by in ("service", None)
        size = service.size if served else panel.feeder.size
        metal = service.metal if served else panel.feeder.metal
        sets = (service.sets if served else panel.feeder.sets) or 1
        neutral = (service.neutral_size if served else panel.feeder.neutral_size) or size
        name = (panel.name or panel.id,)
        hot = said("part.lug", size=size or "?", metal=METAL.get(metal or "", "?"))
        yield Part("lugs", hot, hots * sets, used=name, note=said("part.note.lugs"))
        grounded = said("part.lug_neutral", size=neutral or "?", metal=METAL.get(metal or "", "?"))
        yield Part("lugs", grounded, sets, used=name, note=said("part.note.lugs"))


def _grounding(at: HouseAt) -> Iterator[Part]:
    """Bonding of a new panel; new electrodes with their clamps; conductors of grounding that the work sets."""
    for panel in at.house.panels:
        if _new(at, panel.id):
            yield from _bonding(panel)
    for electrode in at.house.electrodes:
        if _new(at, electrode.id):
            length = electrode.length_ft if electrode.length_ft is not None else "?"
            what = said(f"part.electrode.{electrode.kind.replace(' ', '_')}", length=length)
            yield Part("grounding", what, 1, used=(electrode.name or electrode.id,))
            yield Part("grounding", said("part.clamp", size=electrode.conductor_size or "?"), 1,
                       used=(electrode.name or electrode.id,), note=said("part.note.clamp"))  # fmt: skip
    if "grounding" in at.set_fields.get("service", frozenset()):
        given = at.house.service.grounding
        what = said("part.electrode_conductor", size=given.conductor_size or "?",
                    metal=METAL.get(given.conductor_metal or "", "?"))  # fmt: skip
        fact = build.fact("part/gec", what, UNKNOWN, "ft", "service.grounding")
        yield Part("grounding", what, length=_with_allowance("part/gec/bring", _Group(what, lengths=[fact])),
                   note=said("part.note.measure"))  # fmt: skip
    if "surge" in at.set_fields.get("service", frozenset()) and at.house.service.surge not in (None, "none"):
        yield Part("grounding", said("part.surge", kind=at.house.service.surge), 1, note=said("part.note.listed"))


def _bonding(panel: Panel) -> Iterator[Part]:
    name = (panel.name or panel.id,)
    if panel.service_equipment == "yes":
        yield Part("grounding", said("part.bonding_jumper"), 1, used=name, note=said("part.note.listed"))
    elif panel.service_equipment == "unknown":
        yield Part("grounding", said("part.bonding_jumper"), None, used=name, note=said("part.note.service_equipment"))
    if panel.ground_bar != "yes":
        yield Part("grounding", said("part.ground_bar"), 1, used=name, note=said("part.note.listed"))


def _closing(at: HouseAt, found: HouseAt) -> Iterator[Part]:
    """Plugs for open knockouts; filler plates for spaces that the work leaves empty."""
    plugs: dict[str, _Group] = {}
    for opening in at.house.openings:
        if opening.state == "open":
            size = opening.trade_size or (f"{opening.diameter_in} in" if opening.diameter_in else "?")
            group = plugs.setdefault(size, _Group(said("part.plug", size=size)))
            group.count += 1
            group.used.append(opening.name or opening.id)
    for group in plugs.values():
        yield Part("closing", group.what, group.count, used=tuple(group.used), note=said("part.note.plug"))
    for panel in at.house.panels:
        empty = emptied_spaces(at, found, panel)
        if empty:
            yield Part("closing", said("part.filler"), len(empty), used=(", ".join(map(str, empty)),),
                       note=said("part.note.listed"))  # fmt: skip


def emptied_spaces(at: HouseAt, found: HouseAt, panel: Panel) -> tuple[int, ...]:
    """Spaces that held a breaker as found, and where the work leaves none: taken out, or moved elsewhere."""
    if all(panel.id != each.id for each in found.house.panels):
        return ()
    taken, held = (
        {space for breaker in breakers_in(house, panel) for space in breaker.spaces} for house in (at, found)
    )
    return tuple(sorted(held - taken))


def _labels(at: HouseAt) -> Iterator[Part]:
    """The label sheet and the cards for the door, wherever a panel is worked in."""
    worked = [p for p in at.house.panels if _new(at, p.id) or any(
        at.tag(b.id) in ("N", "RL") for b in breakers_in(at, p) if b.id in at.tags)]  # fmt: skip
    if worked:
        names = tuple(panel.name or panel.id for panel in worked)
        yield Part("labels", said("part.directory_card"), len(worked), used=names)
        yield Part("labels", said("part.label_sheet"), 1, used=names)


def _taken_out(at: HouseAt, found: HouseAt) -> Iterator[Part]:
    """Breakers and panels that come out."""
    names = fed_by(found)
    for ident, thing in at.removed.items():
        if isinstance(thing, Breaker):
            yield Part("out", breaker_part(thing), 1, used=names.get(ident, (thing.name or ident,)))
        elif isinstance(thing, Panel):
            what = said("part.panel", spaces=thing.spaces or "?", bus=thing.bus_a or "?",
                        mounting=_word("mounting", thing.mounting))  # fmt: skip
            yield Part("out", what, 1, used=(thing.name or ident,))
