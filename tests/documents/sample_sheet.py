"""A whole sheet with every block and every operation, for a house of our own invention."""

from __future__ import annotations

from decimal import Decimal

from deadfront.documents.catalog import Catalog
from deadfront.documents.figures import RulerBar, ruler_picture
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval, between, point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.sheet import (
    Answer,
    Caution,
    Figure,
    Findings,
    Heading,
    PageBreak,
    Paragraph,
    Picture,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Verdict,
    Working,
)
from deadfront.worksheet.step import Step


def plain(text: str) -> Msg:
    """Words as they are."""
    return said("plain.text", text=text)


def cite(section: str, status: str = "verified") -> Cite:
    return Cite(section, "2023", status=status)  # type: ignore[arg-type]


PLATE = Missing("before/l-2xf.nameplate_w", plain("water heater nameplate"), plain("read the plate on the tank"))
STANDARD = tuple(Decimal(a) for a in (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200))


def lighting() -> Step:
    area = build.fact("s/area", plain("Floor area"), "1840", "ft2", "before/u-1aa.floor_area_ft2", inline=True)
    per_area = build.given("s/unit", plain("Unit load"), "3", "VA/ft2", cite("220.41"))
    return build.product("s/lighting", plain("Lighting and receptacles"), [area, per_area], cite=cite("220.41"))


def small_appliance() -> Step:
    count = build.counted("s/circuits", plain("Circuits"), 3)
    each = build.given("s/each", plain("Each"), "1500", "VA", cite("220.52"))
    return build.product("s/small", plain("Small-appliance and laundry circuits"), [count, each], cite=cite("220.52"))


def water_heater() -> Step:
    low = build.fact("s/wh/least", plain("Water heater, nothing heats"), "0", "VA", "", inline=True)
    current = build.fact("s/wh/a", plain("Breaker"), "30", "A", "before/b-1.rating_a", inline=True)
    volts = build.given("s/wh/v", plain("Voltage"), "240", "V", None)
    high = build.product("s/wh/most", plain("Water heater, all its breaker carries"), [current, volts])
    return build.between_cases("s/wh", plain("Water heater"), low, high, missing=[PLATE])


def standard_load() -> Step:
    """A load by a made-up mix of rules that uses every operation."""
    light = build.total("s/general", plain("General lighting load"), [lighting(), small_appliance()])
    tiers = ((Decimal(3000), Decimal(100)), (Decimal(120000), Decimal(35)), (None, Decimal(25)))
    net = build.tiered("s/net", plain("General lighting, net"), light, tiers, cite=cite("220.45"))
    column = build.lookup(
        "s/range/c", plain("Range, column C"), "8000", "VA", cite("Table 220.55"), table="cooking",
        row="1 appliance, column C",
    )  # fmt: skip
    plate = build.fact("s/range/plate", plain("Range"), "12000", "VA", "before/l-9.nameplate_va")
    cooking = build.least("s/range", plain("Range, demand"), [column, plate], cite=cite("220.55"))
    dryer_floor = build.given("s/dryer/floor", plain("Dryer, least"), "5000", "VA", cite("220.54"))
    dryer_plate = build.fact("s/dryer/plate", plain("Dryer"), "4800", "VA", "before/l-3.nameplate_va")
    dryer = build.largest("s/dryer", plain("Dryer, demand"), [dryer_floor, dryer_plate], cite=cite("220.54"))
    dish = build.fact("s/dish", plain("Dishwasher"), "1000", "VA", "before/l-4.nameplate_va")
    disposer = build.fact("s/disposer", plain("Disposer"), "800", "VA", "", assumed=["usual_plate"])
    fixed = build.total("s/fixed", plain("Fastened in place"), [water_heater(), dish, disposer])
    share = build.percent_of("s/fixed/share", plain("Fastened in place, demand"), fixed, "75", cite=cite("220.53"))
    heat = build.fact("s/heat", plain("Electric heat"), "9600", "VA", "before/l-5.nameplate_va")
    cool = build.fact("s/cool", plain("Air conditioner"), "5760", "VA", "before/l-6.nameplate_va")
    larger = build.largest("s/climate", plain("Heating or cooling"), [heat, cool], cite=cite("220.60"))
    hot_tub = build.fact("s/tub", plain("Hot tub, left over"), "6000", "VA", "")
    taken = build.fact("s/taken", plain("Taken out of service"), "5000", "VA", "")
    tub = build.minus("s/tub/net", plain("Hot tub after removal"), hot_tub, taken)
    one = build.fact("s/ev/a", plain("charger at its setting"), "7680", "VA", "")
    other = build.given("s/ev/b", plain("charger at 7,200 VA"), "7200", "VA", cite("220.57", "memory"))
    charger = build.chosen("s/ev", plain("EV charger (N)"), {"a": one, "b": other}, None, cite=cite("220.57"))
    parts = [net, cooking, dryer, share, larger, tub, charger]
    return build.total("s/total", plain("Calculated load"), parts, cite=cite("220.40"))


def service_amperes() -> Step:
    volts = build.given("s/volts", plain("Voltage"), "240", "V", cite("220.5(A)"))
    amperes = build.quotient("s/amperes", plain("Load in amperes"), standard_load(), volts)
    whole = build.rounded("s/whole", plain("Whole amperes"), amperes, cite=cite("220.5(B)"))
    return build.next_standard("s/rating", plain("Smallest standard rating"), whole, STANDARD, cite=cite("240.6(A)"))


def bars() -> list[RulerBar]:
    return [
        RulerBar("Measured demand", between("94.33", "99.27"), Outcome.MEETS),
        RulerBar("Existing dwelling", between("98.96", "110.96"), Outcome.CANNOT_TELL),
        RulerBar("Optional", between("104", "116"), Outcome.FAILS),
        RulerBar("Standard", Interval(Decimal("139.8"), None), Outcome.FAILS),
    ]


def checks() -> tuple[Check, ...]:
    return (
        Check(
            "circuits.breaker_too_large", "b-1", Outcome.FAILS, Severity.CORRECT,
            plain("Range circuit: 50 A breaker on 8 AWG aluminum."), Reach.EXISTING, cites=(cite("240.4"),),
            remedy=plain("put in a 40 A breaker, or pull 6 AWG"),
        ),
        Check(
            "load.service_carries", "service", Outcome.CANNOT_TELL, Severity.CORRECT,
            plain("The service carries it or not: 99 to 111 A of 100 A."), missing=(PLATE,), cites=(cite("220.83(B)"),),
        ),
        Check("panel.spaces", "p-1", Outcome.MEETS, Severity.NOTE, plain("Two spaces are free.")),
    )  # fmt: skip


def method_row(name: str, when: str, bar: RulerBar, load: Interval, words: Msg | None) -> tuple:
    verdict = Verdict(bar.outcome, words)
    return (plain(name), plain(when), Figure(load, "VA"), Figure(bar.value, "A", 1), verdict)


def sample_sheet(job: str = "14 Hollow Creek Rd", *, draft: bool = True, catalog: Catalog | None = None) -> Sheet:
    shown = bars()
    columns = tuple(plain(c) for c in ("method", "may be used", "", "", "against 100 A"))
    rows = (
        method_row("Measured demand", "12 months", shown[0], between("22640", "23840"), plain("meets, 0.7 left")),
        method_row("Existing dwelling", "heat pump is new", shown[1], between("23750", "26630"), None),
        method_row("Optional", "yes", shown[2], between("24950", "27830"), plain("over by 4.0")),
        method_row("Standard", "yes", shown[3], Interval(Decimal(33563), None), plain("over by 39.8")),
        method_row("Supply of two units", "no", RulerBar("", UNKNOWN, Outcome.NOT_APPLICABLE), UNKNOWN, None),
    )  # fmt: skip
    words = catalog or Catalog("en")
    return Sheet(
        key="load",
        title=plain("Load calculation"),
        head=SheetHead(
            job=job, place="Marlow Falls", edition="2023", amendments=("Marlow Falls 12-3",), revision="C",
            on="May 12", engine="0.1.0", digest="7f3a9c2e",
            draft=(plain("the water heater's nameplate is not known"), plain("1 to correct")) if draft else (),
        ),
        blocks=(
            Answer(
                plain("Does the service carry it?"),
                plain("By measured demand only, if the inspector accepts it: at most 99.3 A of 100 A."),
                Outcome.CANNOT_TELL,
                (plain("With the 32 A charger and the heat pump. No calculation shows that it fits."),),
            ),
            Picture(ruler_picture(shown, point(100), words), plain("Four methods against the service rating")),
            Heading(plain("Four ways to the answer")),
            Table(columns, rows, (2, 3), ("220.87", "220.83(B)", "220.82", "Part III", ""), "methods"),
            Paragraph(plain("Each method is worked below, line by line.")),
            Caution("notice", plain("For the license holder's review. The authority having jurisdiction decides.")),
            PageBreak(),
            Heading(plain("Standard calculation, line by line")),
            Working(service_amperes()),
            Heading(plain("Findings")),
            Findings(checks()),
            Caution("danger", plain("Behind the cover parts are live. The line side stays live with the main open.")),
            Caution("warning", plain("A remote command is not lockout. Lock the handle of every source.")),
            Signature(plain("Licensed electrician responsible")),
        ),
        cites=service_amperes().all_cites(),
    )  # fmt: skip


def exact(value: str) -> Interval:
    return point(value)
