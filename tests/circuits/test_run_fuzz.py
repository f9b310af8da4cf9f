"""Whatever is recorded of a circuit, the runs answer: no crash, no silent pass over what the work touches."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.circuits.rules.runs.answer import runs_of
from deadfront.codebook import EDITIONS
from deadfront.codebook.kinds import load_kinds
from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import assumption, formula
from deadfront.quantities import SIZES
from deadfront.results.circuits import Run
from deadfront.worksheet.check import Outcome
from tests.circuits.runs_made import all_of, circuit_facts, facts_from

CATALOGS = [Catalog(language, strict=True) for language in ("en", "es")]


def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.none(), values)


def known(**fields: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Some of the fields, each as drawn."""
    drawn = st.fixed_dictionaries({name: maybe(values) for name, values in fields.items()})
    return drawn.map(lambda found: {name: value for name, value in found.items() if value is not None})


AMPERES = st.sampled_from([0.1, 3, 15, 17, 40, 400, 6001])
CABLE = known(
    type=st.sampled_from(["NM-B", "NM", "SER", "SEU", "AC", "MC", "THWN-2 in raceway", "XHHW-2", "knob and tube", "?"]),
    size=st.sampled_from(SIZES), metal=st.sampled_from(["copper", "aluminum"]), length_ft=st.integers(0, 500),
    ground_size=st.sampled_from(SIZES), ground=st.sampled_from(["wire", "raceway", "armor", "none"]),
    sets=st.integers(1, 12), terminals_c=st.sampled_from([60, 75]), ambient_c=st.integers(0, 200),
    runs=st.lists(st.sampled_from(["wall", "attic", "roof", "insulation", "outdoors", "wet"]), max_size=3),
    bundled=st.integers(0, 1000), insulation_c=st.sampled_from([60, 75, 90]), above_roof_in=st.integers(0, 40),
)  # fmt: skip
LOAD = st.tuples(
    st.sampled_from(sorted(load_kinds())),
    known(nameplate_w=st.integers(1, 40000), nameplate_va=st.integers(1, 40000), nameplate_a=AMPERES, volts=AMPERES,
          minimum_circuit_ampacity_a=AMPERES, maximum_overcurrent_a=AMPERES, setting_a=AMPERES,
          hp=st.sampled_from(["1/6", "2", "400"]), motor=st.booleans(), quantity=st.integers(1, 9),
          cord_and_plug=st.booleans(), continuous=st.booleans(), supplemental_w=st.integers(0, 20000),
          setting_restricted=st.booleans(), power_factor=st.sampled_from([0.5, 1])),
).map(lambda drawn: {"kind": drawn[0], **drawn[1]})  # fmt: skip
CIRCUIT = known(
    purpose=st.sampled_from(["general", "individual", "laundry"]), load_va=st.integers(0, 9000),
    continuous_va=st.integers(0, 9000), outlet_kinds=st.lists(st.sampled_from(["receptacles", "lighting"]), max_size=2),
)  # fmt: skip


def in_words(runs: tuple[Run, ...]) -> None:
    """Every line of the working of every run has a name and a formula in both languages."""
    for made in runs:
        steps = [made.volts, made.load, made.least, made.rating, made.ampacity, made.breaker_least, made.breaker_most]
        steps += [each.step for each in (*made.smallest, *made.ground)]
        for step in (each for whole in steps if whole is not None for each in whole.walk()):
            for catalog in CATALOGS:
                assert catalog.say(step.name) and (step.op in ("fact", "given") or formula(step, catalog))
                assert all(assumption(name, catalog) for name in step.assumed)
                assert all(catalog.say(each.what) and catalog.say(each.how) for each in step.missing)


@settings(max_examples=250, deadline=None)
@given(CABLE, maybe(AMPERES), st.lists(LOAD, max_size=3), st.sampled_from([1, 2]), CIRCUIT, st.sampled_from(EDITIONS),
       st.booleans())  # fmt: skip
def test_anything_recorded_is_answered_in_words(
    cable: dict[str, Any], rating_a: float | None, loads: list[dict[str, Any]], poles: int, circuit: dict[str, Any],
    edition: str, new: bool,
) -> None:  # fmt: skip
    facts = circuit_facts(cable, rating_a, *loads, poles=poles, edition=edition, new=new, **circuit)
    in_words(runs_of(facts))
    found = list(all_of(facts))
    for check in found:
        assert check.outcome is not Outcome.CANNOT_TELL or check.missing, check.say
        for catalog in CATALOGS:
            assert catalog.say(check.say)
            assert check.remedy is None or catalog.say(check.remedy)
    if new:
        assert {"circuit.conductor", "circuit.ground"} <= {check.id for check in found}


@settings(max_examples=60, deadline=None)
@given(CABLE, maybe(AMPERES), st.sampled_from(["service", "b-01", "b-02", "b-99"]))
def test_any_feeder_is_answered(cable: dict[str, Any], rating_a: float | None, fed_by: str) -> None:
    panels = [{"id": "p-aa", "fed_by": "service"}, {"id": "p-bb", "fed_by": fed_by, "feeder": cable}]
    rated = {"rating_a": rating_a} if rating_a else {}
    breakers = [{"id": "b-01", "panel": "p-aa", **rated}, {"id": "b-02", "panel": "p-bb", **rated}]
    facts = facts_from({}, add={"panels": panels[1:], "breakers": breakers})
    runs_of(facts)
    for check in all_of(facts):
        assert CATALOGS[0].say(check.say)
        assert check.outcome is not Outcome.CANNOT_TELL or check.missing, check.say
