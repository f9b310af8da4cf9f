"""The site list: what is asked of what, and what each answer comes to.

What a question asks for and how bad a wrong answer is are judgments of the trade (common practice); the rules behind
them carry their own source and status in the code book.
"""

from __future__ import annotations

import re
import timeit
from pathlib import Path
from typing import Any

import pytest

from deadfront.circuits.rules.each import site as rule
from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.site import Asked, questions_of, site_list, site_questions
from deadfront.circuits.rules.site_case import CASE_FACTS
from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.data_files import data
from deadfront.documents.catalog import LANGUAGES, Catalog, words
from deadfront.documents.findings import finding_text
from deadfront.errors import EditionNotEncoded, NotAllowed
from deadfront.job.edit import apply_edits
from deadfront.job.edits import Set
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.results.circuits import Question
from deadfront.worksheet.check import Outcome, Reach, Severity
from tests.circuits.site_house import CHARGER, NO_LOAD, PLAIN, facts, one

WORDS = ("name", "ask", "how", "fails", "fix", "why")
FIELDS = {"of", "meets", "severity", "reaches", "old", "when", "hazard", "figures", "caution", "section", "source"}
EVERYTHING: dict[str, Any] = {
    **PLAIN,
    "panels": [
        {"id": "p-m1", "fed_by": "service", "mounting": "flush", "fuses": True},
        {"id": "p-m2", "fed_by": "b-01", "mounting": "outdoor", "feeder": {"metal": "aluminum"}},
    ],
    "gear": [{"id": "g-01", "kind": "metering", "panel": "p-m1"}],
    "units": [{"id": "u-01"}, {"id": "u-02"}, {"id": "u-03"}],
    "sources": [{"id": "s-01", "kind": "solar"}],
    "breakers": [{"id": "b-01", "panel": "p-m1", "role": "source"}],
    "circuits": [
        {"id": "c-01", "breaker": "b-01", "cable": {"type": "NM-B", "metal": "aluminum", "runs": ["underground"]}},
        {"id": "c-02", "breaker": "b-01", "cable": {"type": "SER", "metal": "copper"}},
    ],
    "structures": [{"id": "st-01", "supply": "feeder"}],
    "electrodes": [{"id": "e-01", "kind": "rod"}],
    "service": {"outside": {"present": "yes"}},
}
ALL_NEW: dict[str, Any] = {"id": "w-01", "say": "All of it", "add": {k: v for k, v in EVERYTHING.items() if k not in
                           ("complete", "service")}}  # fmt: skip


def everything(edition: str, answer: str, **service: Any) -> tuple[Asked, ...]:
    """The site list of a house in which all is new and every question has the same answer."""
    keys = {of: {q.key: answer for q in open_book(edition).questions() if q.of == of} for of in CASE_FACTS}
    add = {name: [{**each, "seen": keys.get(name, {})} for each in things] for name, things in ALL_NEW["add"].items()}
    before = {"service": {"outside": {"present": "yes"}, "seen": keys["service"] | keys["job"], **service}}
    touch = {"id": "w-02", "say": "Service", "set": {"service": {"surge": "type 2"}}}
    return site_list(facts(before, {**ALL_NEW, "add": add}, touch, edition=edition))


# --- the data ------------------------------------------------------------------------------------------------------
def test_conditions_name_facts_that_a_thing_has() -> None:
    for key, entry in data().questions.items():
        assert entry["of"] in CASE_FACTS, key
        for name, allowed in entry.get("when", {}).items():
            assert set(allowed) <= set(CASE_FACTS[entry["of"]][name]), (key, name)
            assert set(allowed) != set(CASE_FACTS[entry["of"]][name]), f"{key}: {name} bars nothing"


def test_every_entry_says_what_it_may_say() -> None:
    for key, entry in data().questions.items():
        assert entry["meets"] in ("yes", "no") and entry["reaches"] in ("touched", "worked"), key
        assert {entry["severity"], entry.get("old", "note")} <= {"danger", "correct", "note"}, key
        assert set(entry) <= FIELDS, key
        assert entry.get("hazard", "other") in data().hazards, key


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_question_from_memory_says_so_and_no_other_does(edition: str) -> None:
    book = open_book(edition)
    for each in (*book.questions(), *book.hazards()):
        assert each.section or each in book.hazards()
        assert each.source in data().sources
        assert (each.status == "memory") == (each.source == "M"), each.key


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_question_and_hazard_has_its_words_and_caution(language: str) -> None:
    have = words(language)
    for kind, entries in (("question", data().questions), ("hazard", data().hazards)):
        for key, entry in entries.items():
            assert [w for w in WORDS if f"{kind}.{key}.{w}" not in have] == [], key
            assert not entry.get("caution") or f"site.caution.{entry['caution']}" in have, key
            assert kind == "hazard" or "?" in str(have[f"question.{key}.ask"]), key
    spoken = {key.split(".")[1] for key in have if key.startswith("question.")}
    assert spoken == set(data().questions), "words without a question"


@pytest.mark.parametrize("language", LANGUAGES)
def test_figures_of_a_rule_stand_in_its_data_and_not_in_its_words(language: str) -> None:
    """A number in the words of a question would carry no section and no status; names of the trade may stay."""
    trade = re.compile(r"\{\w+\}|3R|120 V 20 A")
    for edition in EDITIONS:
        for each in open_book(edition).questions():
            texts = {part: str(words(language)[f"question.{each.key}.{part}"]) for part in WORDS[:-1]}
            bare = {part: text for part, text in texts.items() if re.search(r"\d", trade.sub("", text))}
            assert bare == {}, each.key
            named = set(re.findall(r"\{(\w+)\}", " ".join(texts.values())))
            assert named == {name for name, _ in each.figures}, each.key


def test_what_an_edition_does_not_have_is_refused_with_the_reason() -> None:
    """230.67 and 230.85 came in 2020, 110.14(D) in 2017 (license-renewal course; trade-magazine series)."""
    has = {key: [e for e in EDITIONS if any(q.key == key for q in open_book(e).questions())]
           for key in ("surge_seen", "emergency_marking", "terminals_torqued")}  # fmt: skip
    assert has == {"surge_seen": ["2020", "2023", "2026"], "emergency_marking": ["2020", "2023", "2026"],
                   "terminals_torqued": ["2017", "2020", "2023", "2026"]}  # fmt: skip
    with pytest.raises(EditionNotEncoded) as refused:
        open_book("2017").question("surge_seen")
    assert "2017" in Catalog("en", strict=True).say(refused.value.msg)
    with pytest.raises(NotAllowed):
        open_book("2017").question("no_such_question")
    with pytest.raises(NotAllowed):
        open_book("2017").hazard("no_such_hazard")
    assert open_book("2026").question("emergency_marking").section == "230.70"
    assert open_book("2020").question("emergency_marking").section == "230.85"


def test_the_rows_that_most_often_fail_are_asked() -> None:
    """The list of the requirement; what other rules check by facts is not in it."""
    sections = {q.section.split("(")[0] for q in open_book("2023").questions()}
    assert {
        "110.3", "110.12", "110.14", "110.21", "110.22", "110.24", "110.26", "200.4", "200.7", "230.9", "230.24",
        "230.28", "230.54", "230.67", "230.85", "240.24", "250.8", "250.64", "250.142", "312.2", "312.5", "312.6",
        "334.15", "334.30", "334.80", "338.10", "404.8", "408.4", "408.7", "408.36", "408.41",
    } <= sections  # fmt: skip


# --- what is asked of what ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("edition", EDITIONS)
def test_an_old_house_without_work_is_barred_by_no_open_question(edition: str) -> None:
    listed = site_list(facts(PLAIN, edition=edition))
    assert {asked.question.severity for asked in listed} == {Severity.NOTE}
    assert {asked.question.outcome for asked in listed} == {Outcome.CANNOT_TELL}
    assert {asked.question.reach for asked in listed} == {Reach.EXISTING}
    print(f"{edition}: {len(listed)} questions for a plain house with one panel and 20 circuits")
    assert 15 <= len(listed) <= 30


def test_a_charger_asks_of_the_job_and_of_the_panel_it_is_put_in() -> None:
    listed = site_list(facts(PLAIN, CHARGER))
    barring = {a.question.key for a in listed if a.question.severity is Severity.CORRECT}
    assert {"listed_as_instructed", "cable_supported", "terminals_torqued", "panel_directory"} <= barring
    assert not barring & {"mast_sound", "surge_seen", "dedicated_space", "aluminum_devices", "sources_directory"}
    assert len(listed) <= 45
    print(f"2023: {len(listed)} with a charger, {len(barring)} of them bar a signature")


def test_a_question_of_another_make_of_panel_is_not_asked() -> None:
    keys = {a.question.key for a in site_list(facts(PLAIN, CHARGER))}
    assert not keys & {"fuses_right", "flush_gap", "outdoor_tight", "gear_leads", "aluminum_terminals"}
    outdoors = [{**PLAIN["panels"][0], "mounting": None, "location": "outdoors"}]
    moved = {"id": "w-02", "say": "Move", "move": {"p-m1": {"place": "North wall"}}}
    assert "outdoor_tight" in {a.question.key for a in site_list(facts(PLAIN, moved, panels=outdoors))}


def test_what_a_measured_fact_settles_is_not_asked_again() -> None:
    def keys(**service: Any) -> set[str]:
        touch = {"id": "w-01", "say": "Service", "set": {"service": {"disconnects": 1}}}
        return {a.question.key for a in site_list(facts(PLAIN, touch, service=service))}

    settled = {"drop_from_windows", "electrode_conductor_unspliced", "surge_seen"}
    assert keys() & settled == {"drop_from_windows", "electrode_conductor_unspliced"}
    known = {"drop": {"from_window_ft": 4}, "grounding": {"conductor_spliced": False}, "surge": "none"}
    assert keys(**known) & settled == set()
    assert "surge_seen" in keys(surge="type 2")
    assert "drip_loop" in keys() and "drip_loop" not in keys(drop={"overhead": False})


def test_aluminum_is_asked_about_where_it_is_even_if_nothing_is_touched() -> None:
    cables = [{**c, "cable": {"type": "NM", "metal": "aluminum", "size": "12"}} for c in PLAIN["circuits"][:1]]
    found = {(a.question.key, a.question.of) for a in site_list(facts(PLAIN, circuits=cables))}
    assert {("aluminum_devices", "c-01"), ("aluminum_terminals", "p-m1")} <= found


def test_a_new_panel_touches_the_service_and_a_letter_of_the_utility_does_not() -> None:
    def reach(*work: dict[str, Any]) -> Reach:
        listed = site_list(facts(PLAIN, *work))
        return one([a.check for a in listed], "site.mast_sound", "service").reach

    swap = {"id": "w-01", "say": "Panel", "remove": ["p-m1"], "add": {"panels": [{"id": "p-n1", "fed_by": "service"}]}}
    letter = {"id": "w-01", "say": "Letter", "set": {"service": {"utility": {"fault_current_ka": 9}}}}
    wire = {"id": "w-01", "say": "Wire", "set": {"service": {"conductors": {"size": "2/0"}}}}
    assert [reach(swap), reach(letter), reach(wire), reach()] == [
        Reach.NEW, Reach.EXISTING, Reach.REPLACED, Reach.EXISTING,
    ]  # fmt: skip


# --- answers -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("answer", ["yes", "no", "unknown"])
def test_every_question_takes_every_answer(edition: str, answer: str) -> None:
    by_drop = [everything(edition, answer), everything(edition, answer, drop={"overhead": False})]
    listed = [a for each in by_drop for a in each if a.question.outcome is not Outcome.NOT_APPLICABLE]
    assert {a.question.key for a in listed} == {q.key for q in open_book(edition).questions()}
    for asked in listed:
        question, check = asked
        wanted = {question.wanted: Outcome.MEETS, "unknown": Outcome.CANNOT_TELL}.get(answer, Outcome.FAILS)
        assert (question.outcome, check.outcome, question.answer) == (wanted, wanted, answer)
        assert check.id == f"site.{question.key}" and check.id in rule.IDS
        assert bool(check.missing) == (answer == "unknown")
        assert (check.remedy is not None) == (wanted is Outcome.FAILS)
        if answer == "unknown":
            assert check.severity is Severity.CORRECT
            assert (check.missing[0].path, check.missing[0].how) == (question.path, question.how)
        for language in LANGUAGES:
            assert "[" not in " ".join(finding_text(check, Catalog(language, strict=True)).more)


def test_a_wrong_answer_on_what_is_left_alone_is_as_bad_as_the_hazard_is() -> None:
    panels = [{**PLAIN["panels"][0], "seen": {"panel_directory": "no", "no_scorching": "no", "dedicated_space": "no"}}]
    checks = [a.check for a in site_list(facts(PLAIN, panels=panels))]
    assert one(checks, "site.panel_directory", "p-m1").severity is Severity.NOTE
    assert one(checks, "site.no_scorching", "p-m1").severity is Severity.DANGER
    aside = one(checks, "site.dedicated_space", "p-m1")
    assert (aside.outcome, aside.severity) == (Outcome.NOT_APPLICABLE, Severity.NOTE)
    worked = [a.check for a in site_list(facts(PLAIN, CHARGER, panels=panels))]
    assert one(worked, "site.panel_directory", "p-m1").severity is Severity.CORRECT


def test_a_wrong_answer_that_is_recorded_as_a_hazard_is_told_once() -> None:
    panels = [{**PLAIN["panels"][0], "seen": {"no_scorching": "no", "terminals_one_wire": "no", "panel_dry": "no"}}]
    hazards = [
        {"id": "h-01", "kind": "scorched_bus", "thing": "p-m1"},
        {"id": "h-02", "kind": "double_tap", "thing": "b-07"},
        {"id": "h-03", "kind": "corrosion", "thing": "house"},
    ]
    checks = [a.check for a in site_list(facts(PLAIN, panels=panels, hazards=hazards))]
    told = {key: one(checks, f"site.{key}", "p-m1") for key in ("no_scorching", "terminals_one_wire", "panel_dry")}
    assert {c.outcome for c in told.values()} == {Outcome.FAILS}
    assert [c.severity for c in told.values()] == [Severity.NOTE, Severity.NOTE, Severity.CORRECT]
    assert "recorded as a hazard" in " ".join(finding_text(told["no_scorching"], Catalog("en", strict=True)).more)
    new = {"id": "w-01", "say": "Panel", "add": {"panels": [{"id": "p-n1", "seen": {"no_scorching": "no"}}],
           "hazards": [{"id": "h-04", "kind": "scorched_bus", "thing": "p-n1"}]}}  # fmt: skip
    made = [a.check for a in site_list(facts(PLAIN, new))]
    assert one(made, "site.no_scorching", "p-n1").severity is Severity.DANGER


def test_paths_lead_to_the_answers() -> None:
    listed = site_questions(facts(PLAIN, CHARGER))
    assert {q.path for q in listed if q.key == "panel_directory"} == {"before/p-m1.seen.panel_directory"}
    assert {q.path for q in listed if q.key == "listed_as_instructed"} == {"before/service.seen.listed_as_instructed"}
    seen = {"id": "w-02", "say": "SE", "add": {"circuits": [{"id": "c-se", "cable": {"type": "SER"}}]}}
    assert {q.path for q in site_questions(facts(PLAIN, seen)) if q.key == "se_branch"} == {"w-02/c-se.seen.se_branch"}


def test_a_question_about_looking_inside_says_what_stays_live() -> None:
    check = one([a.check for a in site_list(facts(PLAIN))], "site.no_scorching", "p-m1")
    how = Catalog("en", strict=True).say(check.missing[0].how)
    assert how.startswith("Cover off: the line side stays live with the main open.")
    bootleg = one([a.check for a in site_list(facts(PLAIN))], "site.no_bootleg_ground", "service")
    assert "three-light tester passes it" in Catalog("en", strict=True).say(bootleg.missing[0].how)


# --- slips -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("place", "key", "edition", "words_of_it"),
    [
        ("panels", "panel_directry", "2023", 'The nearest is "panel_directory"'),
        ("panels", "zzzz", "2023", "no question"),
        ("service", "surge_seen", "2014", "no question of the 2014 edition"),
        ("circuits", "panel_directory", "2023", "about such a thing"),
    ],
)
def test_an_answer_that_answers_nothing_is_told_with_its_place(
    place: str, key: str, edition: str, words_of_it: str
) -> None:
    seen = {key: "no"}
    changed: dict[str, Any] = {"service": {"seen": seen}} if place == "service" else {
        place: [{**PLAIN[place][0], "seen": seen}]}  # fmt: skip
    checks = list(rule.checks(facts(PLAIN, edition=edition, **changed)))
    (slip,) = [each for each in checks if each.id == "site.unknown_answer"]
    assert (slip.outcome, slip.severity) == (Outcome.FAILS, Severity.NOTE)
    assert words_of_it in Catalog("en", strict=True).say(slip.say)
    assert f"seen.{key}" in Catalog("es", strict=True).say(slip.say)


def test_known_answers_are_no_slips() -> None:
    answered = facts(PLAIN, service={"seen": {"listed_as_instructed": "yes", "mast_sound": "no"}})
    assert [c for c in rule.checks(answered) if c.id == "site.unknown_answer"] == []


def test_the_list_costs_little_once_warm() -> None:
    """The bound of the plan is 1 ms on the bench machine; 5 ms here, where others run beside it."""
    many = facts(PLAIN, CHARGER)
    site_list(many)
    assert min(timeit.repeat(lambda: site_list(many), number=1, repeat=20)) < 0.005
    assert questions_of(many.book) is questions_of(many.book)


def test_every_question_is_answered_where_its_path_leads() -> None:
    """The path of each question is one that an edit can set, on things found, things added and the service."""
    text = (Path(__file__).parents[1] / "jobs" / "hollow_creek.toml").read_text(encoding="utf-8")

    def questions(written: str) -> tuple[Question, ...]:
        job = read_job(written).job
        return site_questions(Facts(open_book("2023"), house_at(job), NO_LOAD))

    open_ones = questions(text)
    assert {q.path.partition("/")[0] for q in open_ones} > {"before"}
    edits = [Set(path=q.path, value=q.wanted) for q in open_ones]
    answered = questions(apply_edits(text, edits).text)
    assert [q.key for q in answered] == [q.key for q in open_ones]
    assert {q.outcome for q in answered} == {Outcome.MEETS}


@pytest.mark.parametrize("edition", EDITIONS)
def test_what_can_hurt_or_burn_is_asked_first_of_each_thing(edition: str) -> None:
    for questions in questions_of(open_book(edition)).values():
        ranks = [0 if each.severity == "danger" else 1 if each.hazard else 2 for each in questions]
        assert ranks == sorted(ranks)
    keys = [each.key for each in questions_of(open_book(edition))["panels"]]
    assert keys.index("panel_directory") > max(keys.index(each.key) for each in open_book(edition).questions()
                                               if each.of == "panels" and each.hazard)  # fmt: skip
