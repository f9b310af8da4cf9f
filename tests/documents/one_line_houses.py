"""Houses invented by a seed, from a bare service to one with all that a one-line can hold, facts left out at random.

Each is a job file, so that it is read as any other. Places and names are of our own invention.
"""

from __future__ import annotations

import random

from deadfront.job.model import Job
from deadfront.job.read import read_job

NAMES = ("Kitchen counter", "Bath, upper floor", "Bedrooms", "Living room outlets and lights", "Porch", "Sump pump",
         "Workshop bench outlets along the north wall", "Laundry", "Hall", "Freezer")  # fmt: skip
LARGE = (("range", "Range", 50), ("dryer", "Dryer", 30), ("water_heater", "Water heater in the crawl space", 30),
         ("heat_pump", "Heat pump", 40), ("spa", "Spa", 50))  # fmt: skip
SIZES = (("6", "copper"), ("1", "aluminum"), ("2/0", "aluminum"), ("4/0", "aluminum"), ("8", "copper"))


class Making:
    """One house under way.

    Args:
        seed: Gives the same house each time.
    """

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.lines: list[str] = []
        self.number = 0
        self.work: list[str] = []

    def ident(self, letter: str) -> str:
        self.number += 1
        return f"{letter}-{self.number:03}"

    def chance(self, share: float = 0.5) -> bool:
        return self.random.random() < share

    def maybe(self, text: str, share: float = 0.8) -> str:
        """A fact that is known mostly."""
        return f"{text}\n" if self.chance(share) else ""

    def add(self, collection: str, text: str, new: bool = False) -> None:
        """A thing that was found, or that the work adds."""
        if new:
            self.work.append(f"[[work.add.{collection}]]\n{text}\n")
        else:
            self.lines.append(f"[[before.{collection}]]\n{text}\n")

    def cable(self) -> str:
        size, metal = self.random.choice(SIZES)
        kind = self.random.choice(("SER", "NM-B", "THWN-2"))
        parts = [f'type = "{kind}"', "conductors = 3"]
        parts += [f'size = "{size}"', f'metal = "{metal}"'] if self.chance(0.85) else []
        parts += [f"length_ft = {self.random.randint(4, 220)}"] if self.chance(0.85) else []
        parts += ['ground_size = "8"'] if self.chance() else []
        return "{ " + ", ".join(parts) + " }"

    def breaker(self, panel: str, rating: int, poles: int, role: str = "branch", new: bool = False) -> str:
        ident = self.ident("b")
        facts = self.maybe(f"interrupting_ka = {self.random.choice((10, 22))}")
        space = self.number % 40 + 1
        self.add("breakers", f'id = "{ident}"\npanel = "{panel}"\nspaces = [{space}]\nrating_a = {rating}\n'
                 f'poles = {poles}\nrole = "{role}"\n{facts}', new)  # fmt: skip
        return ident

    def circuits(self, panel: str, most: int, new: bool = False) -> None:
        for _ in range(self.random.randint(0, most)):
            breaker, name = self.breaker(panel, self.random.choice((15, 20)), 1, new=new), self.random.choice(NAMES)
            if self.chance(0.9):
                self.add("circuits", f'id = "{self.ident("c")}"\nname = "{name}"\nbreaker = "{breaker}"', new)

    def large(self, panel: str, share: float) -> None:
        for kind, name, rating in LARGE:
            if self.chance(share):
                self.load(panel, kind, name, rating)
        for _ in range(self.random.choice((0, 0, 1, 1, 2)) if share else 0):
            self.load(panel, "evse", self.random.choice(("EV charger", "EV charger at the carport")), 50)

    def load(self, panel: str, kind: str, name: str, rating: int) -> None:
        breaker, circuit = self.breaker(panel, rating, 2), self.ident("c")
        cable = f"cable = {self.cable()}\n"
        self.add("circuits", f'id = "{circuit}"\nname = "{name}"\nbreaker = "{breaker}"\n{cable}')
        self.add("loads", f'id = "{self.ident("l")}"\nkind = "{kind}"\ncircuit = "{circuit}"\nnameplate_w = 4500')

    def panel(self, name: str, fed_by: str, main: int | None = None, more: str = "", new: bool = False) -> str:
        ident = self.ident("p")
        facts = self.maybe(f"bus_a = {self.random.choice((100, 125, 200, 225))}") + self.maybe("sccr_ka = 22")
        facts += self.maybe(f"spaces = {self.random.choice((8, 16, 30, 42))}")
        fed = f'fed_by = "{fed_by}"\nfeeder = {self.cable()}\n' if fed_by else ""
        joined = self.random.choice(("yes", "no", "unknown"))
        self.add("panels", f'id = "{ident}"\nname = "{name}"\n{fed}{facts}neutral_joined = "{joined}"\n{more}', new)
        if main is not None:
            self.breaker(ident, main, 2, "main", new)
        return ident

    def switch(self, name: str, fed_by: str, direct: bool = False, new: bool = False) -> str:
        ident = self.ident("x")
        fuse = self.maybe("fuse_a = 60", 0.25) + ("direct_current = true\n" if direct else "")
        self.add(
            "switches",
            f'id = "{ident}"\nname = "{name}"\nfed_by = "{fed_by}"\n{self.maybe("rating_a = 60")}{fuse}',
            new,
        )
        return ident

    def source(
        self, kind: str, name: str, joins: str, more: str, disconnects: list[str], ident: str, new: bool
    ) -> None:
        ends = ", ".join(f'"{each}"' for each in disconnects)
        facts = self.maybe("output_a = 32") + self.maybe("output_w = 7680\nvolts = 240") + f"cable = {self.cable()}\n"
        self.add(
            "sources",
            f'id = "{ident}"\nname = "{name}"\nkind = "{kind}"\n{joins}disconnects = [{ends}]\n{facts}{more}',
            new,
        )


def house_text(seed: int) -> str:
    """A job file of an invented house."""
    make = Making(seed)
    head = _service(make)
    main = make.panel("Main panel", "service", 200 if make.chance() else None)
    make.circuits(main, 24)
    make.large(main, 0.5)
    for name in make.random.sample(
        ("Garage panel", "Workshop panel in the old dairy barn", "Upper floor"), make.random.randint(0, 2)
    ):
        _sub_panel(make, name, make.breaker(main, 100, 2, "feeder"))
    if make.chance(0.3):
        _structure(make, make.breaker(main, 60, 2, "feeder"))
    if make.chance(0.6):
        _solar(make, main)
    if make.chance(0.5):
        _battery(make, main)
    if make.chance(0.6):
        _standby(make, main)
    work = f'[[work]]\nid = "w-001"\nsay = "All that is new"\n{"".join(make.work)}' if make.work else ""
    return "\n".join([head, *make.lines, work])


def _service(make: Making) -> str:
    outside = make.random.choice(("", 'present = "no"',
                                  'present = "yes", marked = "service disconnect", rating_a = 200',
                                  'present = "yes", marked = "meter disconnect", overcurrent = false, rating_a = 200',
                                  'present = "yes"'))  # fmt: skip
    drop = make.maybe(
        'drop = { overhead = true, size = "4/0", metal = "aluminum", length_ft = 70, neutral_size = "2/0" }'
    )
    fault = make.maybe(
        'utility = { limit = "none", fault_current_ka = 9.8, fault_at = "transformer", transformer = { kva = 25 } }'
    )
    if make.chance(0.85):
        make.add("meters", f'id = "{make.ident("m")}"\nname = "Meter, east wall"\n{make.maybe("socket_a = 200")}')
    wires = make.maybe(
        'conductors = { size = "4/0", metal = "aluminum", kind = "SE", length_ft = 25, neutral_size = "4/0" }'
    )
    rating = make.maybe("disconnect = { rating_a = 200, sccr_ka = 22 }")
    told = 'complete = { panels = "yes", breakers = "yes", circuits = "yes", sources = "yes", transfers = "yes" }'
    return (f'[job]\nname = "{make.random.choice(("7 Rill Lane", "88 Old Quarry Road, upper house"))}"\n'
            f'place = "Marlow Falls"\ncode.edition = "2023"\n[before]\n{told}\n[before.service]\n'
            f'system = "120/240 1ph 3w"\noutside = {{ {outside} }}\n{rating}{wires}{drop}{fault}')  # fmt: skip


def _sub_panel(make: Making, name: str, fed_by: str) -> None:
    panel = make.panel(name, fed_by, 100 if make.chance(0.3) else None)
    make.circuits(panel, 8)
    make.large(panel, 0.2)


def _structure(make: Making, fed_by: str) -> None:
    ident = make.ident("u")
    make.add("structures", f'id = "{ident}"\nname = "Barn"\nfed_by = "{fed_by}"\nsupply = "feeder"')
    switch = make.switch("Barn disconnect", fed_by)
    make.circuits(make.panel("Barn panel", switch, None, f'structure = "{ident}"\n'), 4)


def _solar(make: Making, main: str) -> None:
    new, ident = make.chance(), make.ident("s")
    direct = [make.switch("Array disconnect", ident, True, new)] if make.chance(0.3) else []
    ends = [*direct, make.switch("Solar disconnect, south wall", ident, new=new)] if make.chance(0.8) else direct
    how = make.random.choice(("breaker", "breaker", "supply side", "nobody knows"))
    joins = f'joins = "{how}"\n' if how != "nobody knows" else ""
    if how == "breaker":
        joins += f'breaker = "{make.breaker(main, 40, 2, "source", new)}"\n'
    modules = make.maybe("modules = [{ in_series = 11, strings = 2 }]", 0.5)
    make.source("solar", "Solar, south roof", joins, modules, ends, ident, new)


def _battery(make: Making, main: str) -> None:
    new, ident = make.chance(), make.ident("s")
    ends = [make.switch("Battery disconnect", ident, new=new)] if make.chance(0.7) else []
    joins = f'joins = "breaker"\nbreaker = "{make.breaker(main, 30, 2, "source", new)}"\n'
    make.source(
        "battery", "Battery in the garage with its inverter", joins, make.maybe("energy_kwh = 13.5"), ends, ident, new
    )


def _standby(make: Making, main: str) -> None:
    """Standby source with transfer equipment and a backed-up panel, or an inlet on an interlock."""
    new, ident = make.chance(), make.ident("s")
    if make.chance(0.3):
        breaker = make.breaker(main, 30, 2, "source", new)
        make.source(
            "inlet",
            "Inlet, rear wall",
            f'joins = "breaker"\nbreaker = "{breaker}"\n',
            "portable = true\n",
            [],
            ident,
            new,
        )
        make.add("transfers", f'id = "{make.ident("t")}"\nname = "Interlock"\nkind = "interlock"\nexcludes = true\n'
                 f'held_apart = ["service", "{breaker}"]', new)  # fmt: skip
        return
    transfer = make.ident("t")
    ends = [make.switch("Generator disconnect", ident, new=new)] if make.chance(0.8) else []
    joins = "" if ends else 'joins = "transfer"\n'
    make.source(
        "generator",
        "Generator",
        joins,
        make.maybe("neutral_bonded = false") + make.maybe("output_breaker_a = 60"),
        ends,
        ident,
        new,
    )
    kind = make.random.choice(("automatic switch", "manual switch"))
    normal = make.breaker(main, 60, 2, "feeder", new)
    make.add("transfers", f'id = "{transfer}"\nname = "Transfer switch"\nkind = "{kind}"\nnormal = "{normal}"\n'
             f'alternate = ["{ends[0] if ends else ident}"]\n{make.maybe("excludes = true")}'
             f'{make.maybe("rating_a = 100")}{make.maybe("neutral_switched = false")}'
             f'{make.maybe("sccr_ka = 22")}', new)  # fmt: skip
    panel = make.panel("Backed-up panel", transfer, None, new=new)
    make.circuits(panel, 8, new)
    if make.chance(0.3):
        breaker, battery = make.breaker(panel, 30, 2, "source", new), make.ident("s")
        make.source("battery", "Battery beside it", f'joins = "breaker"\nbreaker = "{breaker}"\n', "", [], battery, new)


def invented_house(seed: int) -> Job:
    """The job of an invented house, read as any other; nothing of it may be refused."""
    read = read_job(house_text(seed))
    assert not read.problems, (seed, read.problems)
    return read.job
