"""The survey without a browser: lines and facts typed become edits; refusals are said in the line."""

from __future__ import annotations

import re

import pytest

from deadfront.job.house import house_at
from tests.web.start import HTMX, Pages


def job(pages: Pages) -> object:
    return pages.desk.open_job(pages.job).job


def circuit(pages: Pages, **typed: str) -> object:
    line = {"spaces": "", "name": "", "rating": "", "cable": "", "length": "", "protection": "", "work": "E"}
    return pages.post("/rows/circuits", **{**line, **pages.blank("circuits"), **typed})


def load(pages: Pages, **typed: str) -> object:
    line = {"what": "", "circuit": "", "nameplate": "", "volts": "", "work": "E"}
    return pages.post("/rows/loads", **{**line, **pages.blank("loads"), **typed})


def test_a_circuit_typed_is_a_breaker_and_a_circuit(pages: Pages) -> None:
    answer = circuit(
        pages, spaces="9, 11", name="Dryer", rating="30", cable="10-3 NM", length="24'", protection="plain"
    )
    assert answer.status_code == 200 and "hx-partial" in answer.text
    made = next(c for c in job(pages).before.circuits if c.name == "Dryer")
    breaker = next(b for b in job(pages).before.breakers if b.id == made.breaker)
    assert (breaker.spaces, breaker.poles, str(breaker.rating_a), breaker.panel) == ((9, 11), 2, "30", "p-k3m")
    assert (made.cable.size, made.cable.conductors, made.cable.type, str(made.cable.length_ft)) == ("10", 3, "NM", "24")


def test_typing_a_line_again_changes_only_what_differs(pages: Pages) -> None:
    ids = pages.blank("circuits")
    circuit(pages, **ids, spaces="9", name="Counter", rating="20")
    before = pages.revision
    circuit(pages, **ids, spaces="9", name="Counter", rating="20")
    assert pages.revision == before, "nothing differs, nothing is saved"
    circuit(pages, **ids, spaces="9", name="Counter, left", rating="20")
    row = pages.desk.history(pages.job)[0]
    assert row.touched == (f"before/{ids['key']}.name",)


@pytest.mark.parametrize(
    ("spaces", "said"),
    [
        (
            "11, 12",
            "11 and 12 lie across from each other; a two-pole breaker takes 11, 13 or 12, 14. One pole? Type 11.",
        ),
        ("11, 15", "Spaces 11 and 15 are not next to each other on one side"),
        ("1", "Space 1 is taken already by Range."),
        ("3, 5", "Space 3 is taken already by Range."),
        ("12, 13", "are not next to each other on one side"),
    ],
)
def test_spaces_that_cannot_be(pages: Pages, spaces: str, said: str) -> None:
    before = pages.revision
    answer = circuit(pages, spaces=spaces, name="X", rating="20")
    assert answer.status_code == 422 and said in answer.text
    assert pages.revision == before


def test_the_work_may_use_spaces_that_it_frees(pages: Pages) -> None:
    """The work moves the range's breaker, so a found line may not take 1, but half spaces share one."""
    assert circuit(pages, spaces="13a", name="Hall", rating="15").status_code == 200
    assert circuit(pages, spaces="13b", name="Bath", rating="15").status_code == 200
    assert circuit(pages, spaces="13", name="Den", rating="15").status_code == 422


@pytest.mark.parametrize(
    ("column", "text", "said"),
    [
        ("rating", "abc", "“abc” is not understood. Type 20 or 20 A."),
        ("rating", "99999", "1 to 10,000 A is allowed"),
        ("cable", "13-2 NM", "Type 12-2 NM"),
        ("length", "12 kg", "38 ft"),
        ("name", "x" * 121, "allowed are 120"),
    ],
)
def test_bad_entries_are_said_in_words(pages: Pages, column: str, text: str, said: str) -> None:
    answer = circuit(pages, **{"spaces": "15", "name": "Den", column: text})
    assert answer.status_code == 422 and said in answer.text, answer.text


def test_a_load_typed_finds_its_kind_and_circuit(pages: Pages) -> None:
    assert load(pages, what="Water heater, basement", circuit="1, 3", nameplate="4.5 kW").status_code == 200
    made = next(each for each in job(pages).before.loads if each.kind == "water_heater")
    assert (made.circuit, str(made.nameplate_w), made.name) == ("c-7qd", "4500", "Water heater, basement")
    assert load(pages, what="range", circuit="77").status_code == 422
    assert load(pages, nameplate="4 kW").status_code == 422, "a load that nobody named"


def test_a_line_becomes_new_work_and_found_again(pages: Pages) -> None:
    ids = pages.blank("circuits")
    circuit(pages, **ids, spaces="9", name="Charger two", rating="20", work="N")
    assert [c.name for c in job(pages).work[0].add.circuits][-1] == "Charger two"
    answer = circuit(pages, **ids, spaces="9", name="Charger two", rating="20", work="E")
    assert answer.status_code == 200, answer.text
    assert any(c.name == "Charger two" for c in job(pages).before.circuits)
    assert house_at(job(pages)).tag(ids["key"]) == "E"
    circuit(pages, **ids, spaces="9", name="Charger two", rating="20", work="R")
    assert house_at(job(pages)).tag(ids["key"]) == "R"
    circuit(pages, **ids, spaces="9", name="Charger two", rating="20", work="E")
    assert house_at(job(pages)).tag(ids["key"]) == "E"


def test_new_work_makes_its_own_step(pages: Pages) -> None:
    made = pages.desk.create_job({"name": "Empty", "code": {"edition": "2023"}})
    pages.job = made
    assert load(pages, what="EV charger", nameplate="32 A", work="N").status_code == 200
    assert job(pages).work[0].say == "New work" and job(pages).work[0].add.loads[0].kind == "evse"


def test_the_first_circuit_brings_its_panel(pages: Pages) -> None:
    pages.job = pages.desk.create_job({"name": "Empty", "code": {"edition": "2023"}})
    assert circuit(pages, spaces="1", name="Hall", rating="15").status_code == 200
    assert job(pages).before.breakers[0].panel == job(pages).before.panels[0].id


def test_a_line_struck_out_is_gone_with_its_breaker(pages: Pages) -> None:
    ids = pages.blank("circuits")
    circuit(pages, **ids, spaces="9", name="Gone", rating="20")
    pages.post("/rows/circuits/strike-out", **ids)
    assert all(c.id != ids["key"] for c in job(pages).before.circuits)
    assert all(b.id != ids["breakers"] for b in job(pages).before.breakers)


@pytest.mark.parametrize(
    ("path", "text", "value"),
    [
        ("before/service.conductors.size", "4/0 Al", ("4/0", "aluminum")),
        ("before/service.utility.limit", "none", ("none",)),
        ("before/service.utility.limit", "150 A", ("limited", "150")),
        ("before/complete.meters", "200 A", ("200",)),
        ("before/service.conductors.needs_correction", "no", ("False",)),
        ("job.existing", "yes", ("True",)),
        ("before/complete.loads", "yes", ("yes",)),
        ("before/p-k3m.bus_a", "200", ("200",)),
    ],
)
def test_facts_as_typed(pages: Pages, path: str, text: str, value: tuple[str, ...]) -> None:
    assert pages.post("/facts", path=path, value=text).status_code == 200
    whole = str(job(pages).model_dump())
    for each in value:
        assert each in whole


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("before/service.conductors.size", "9"),
        ("before/service.utility.limit", "sometimes"),
        ("nonsense", "1"),
        ("", ""),
        ("job.name", ""),
        ("job.existing", "perhaps"),
        ("before/service.system", "three wires"),
        ("before/l-none.volts", "1"),
        ("before/p-k3m.id", "p-zzz"),
        ("before/service", "x"),
        ("work", "x"),
        ("job.format", "7"),
    ],
)
def test_facts_that_are_refused(pages: Pages, path: str, text: str) -> None:
    before = pages.revision
    answer = pages.post("/facts", path=path, value=text)
    assert answer.status_code == 422 and '<p class="bad">' in answer.text, answer.text[:200]
    assert pages.revision == before


def test_every_fact_to_find_out_leads_to_a_field(pages: Pages) -> None:
    """The line's button and each line of the list: the address they lead to is on the page."""
    for path in ("before/l-2xf.nameplate_w", "before/l-2xf.volts"):
        pages.post("/facts", path=path, value="")
    text = pages.get("/survey")
    import re

    todo = text[text.index('id="todo"') : text.index('id="thing-service"')]
    links = re.findall(r'class="to" href="#([^"]+)"', todo)
    fields = re.findall(r'id="fact-([^"]+)"', todo)
    site = todo.count('/site">')
    assert site == 1, "the questions of the site list are one line"
    assert links and len(links) + len(fields) + site == todo.count("<li>")
    go = re.search(r'class="go" href="/jobs/[^/]+/survey#([^"]+)"', text)
    for place in [*links, go.group(1) if go else ""]:
        assert f'id="{place}"' in text, place


def test_pasted_lists_are_shown_then_entered(pages: Pages) -> None:
    text = "spaces\tname\tA\n9\tCounter\t20\t12-2 NM\t46 ft\tgfci\n11, 12\tBad\t20\n10\tBath\t20\n10\tTwice\t20\n"
    before = pages.revision
    seen = pages.post("/paste/circuits", text=text)
    assert "2 lines understood, 2 to correct" in seen.text and "lie across" in seen.text and "stands twice" in seen.text
    assert pages.revision == before
    taken = pages.post("/paste/circuits/take", text=text)
    assert pages.revision == before + 1
    assert "11, 12\tBad\t20" in taken.text, "what is not understood stays to be corrected"
    names = [c.name for c in job(pages).before.circuits]
    assert names == ["Range", "Counter", "Bath"]
    fixed = pages.post("/paste/circuits/take", text="12\tBad\t20")
    assert fixed.headers.get("hx-refresh") == "true" and len(job(pages).before.circuits) == 4


def test_commas_and_quotes_are_a_list_too(pages: Pages) -> None:
    taken = pages.post("/paste/loads/take", text='dryer,"1, 3",5 kW,240\n"Oven, wall",,4 kW\n')
    assert taken.status_code == 204
    assert [(each.kind, each.name) for each in job(pages).before.loads][1:] == [("dryer", None), ("oven", "Oven, wall")]


def test_markup_in_names_is_only_text(pages: Pages) -> None:
    evil = '"><script>alert(1)</script><img src=x onerror=alert(2)>'
    circuit(pages, spaces="9", name=evil, rating="20")
    load(pages, what=evil[:100], circuit="9")
    pages.post("/facts", path="job.name", value=evil)
    pages.post("/facts", path="job.place", value=evil)
    for path in ("/survey", "/load", "/history", "/packet", "/sheets/load", "/sheets/todo", "/load/shares"):
        text = pages.get(path)
        assert "<script>alert" not in text and "<img src=x" not in text, path
    assert "<script>alert" not in pages.client.get("/").text
    said = pages.post("/facts", path="before/service.conductors.size", value=evil)
    assert "<script>" not in said.text


def test_a_stale_edit_is_shown_side_by_side(pages: Pages) -> None:
    old = pages.revision
    pages.post("/facts", path="before/p-k3m.bus_a", value="200")
    answer = pages.post("/facts", base=old, path="before/p-k3m.bus_a", value="150")
    assert answer.status_code == 409 and answer.headers["hx-retarget"] == "#clash"
    assert "150" in answer.text and "200" in answer.text and "Someone saved first" in answer.text
    import html
    import re

    edits = html.unescape(re.search(r'name="edits" value="([^"]*)"', answer.text).group(1))  # type: ignore[union-attr]
    keep = {"base": str(pages.revision), "edits": edits, "page": "survey"}
    there = {**keep, "side.before/p-k3m.bus_a": "theirs"}
    assert pages.client.post(f"/jobs/{pages.job}/again", data=there).status_code == 200
    assert str(job(pages).before.panels[0].bus_a) == "200"
    mine = {**keep, "side.before/p-k3m.bus_a": "mine"}
    assert pages.client.post(f"/jobs/{pages.job}/again", data=mine).status_code == 200
    assert str(job(pages).before.panels[0].bus_a) == "150"
    for junk in ("", "{", "[[]]", '[{"do":"nothing"}]', "[" * 3000):
        assert pages.client.post(f"/jobs/{pages.job}/again", data={**keep, "edits": junk}).status_code == 422


def test_undo_redo_and_bring_back(pages: Pages) -> None:
    pages.post("/facts", path="before/p-k3m.bus_a", value="200")

    def walk(way: str, **form: str) -> int:
        data = {"base": str(pages.revision), **form}
        return pages.client.post(f"/jobs/{pages.job}/walk/{way}", data=data).status_code

    assert walk("undo") == 200 and str(job(pages).before.panels[0].bus_a) == "125"
    assert walk("redo") == 200 and str(job(pages).before.panels[0].bus_a) == "200"
    assert walk("restore", number="1") == 200 and str(job(pages).before.panels[0].bus_a) == "125"
    assert walk("redo") == 422 and walk("restore", number="99") == 404 and walk("sideways") == 404
    assert pages.client.post(f"/jobs/{pages.job}/walk/undo", data={"base": "1"}).status_code == 409
    assert "brought back" in pages.get("/history")


def test_both_languages_say_everything(pages: Pages) -> None:
    pages.client.post("/language", data={"language": "es", "back": "/"})
    for path in ("/survey", "/load", "/history", "/packet"):
        text = pages.get(path)
        assert 'lang="es"' in text
    assert pages.client.post("/language", data={"language": "xx", "back": "//evil.example"}).url.path == "/"


def test_an_answer_to_a_change_is_quick(pages: Pages) -> None:
    """Only that the change and its answer come in one request, with every part of the page it touches."""
    text = pages.post("/facts", path="before/p-k3m.bus_a", value="200").text
    for part in ("#line", "#route", "#slips", "#base", "#todo", "#answer"):
        assert f'hx-target="{part}"' in text
    on_load = pages.client.post(
        f"/jobs/{pages.job}/facts",
        data={"base": str(pages.revision), "page": "load", "path": "choices.rely_on", "value": "standard"},
        headers=HTMX,
    )
    assert 'hx-target="#worked-sheet"' in on_load.text and 'value="standard" id="rely-standard" checked' in on_load.text


def test_the_service_as_the_work_leaves_it(pages: Pages) -> None:
    at = "w-4c1/service."
    assert pages.post("/facts", path=at + "disconnect.rating_a", value="200 A").status_code == 200
    assert pages.post("/facts", path=at + "disconnect.sccr_ka", value="22").status_code == 200
    assert pages.post("/facts", path=at + "conductors.size", value="4/0 Al").status_code == 200
    service = house_at(job(pages)).house.service
    assert (str(service.disconnect.rating_a), str(service.disconnect.sccr_ka)) == ("200", "22")
    assert (service.conductors.size, service.conductors.metal) == ("4/0", "aluminum")
    assert str(house_at(job(pages), "before").house.service.disconnect.rating_a) == "100"
    assert 'value="200 A"' in pages.get("/survey")
    assert pages.post("/facts", path=at + "disconnect.rating_a", value="").status_code == 200
    assert str(house_at(job(pages)).house.service.disconnect.rating_a) == "100"
    assert pages.post("/facts", path=at + "system", value="x").status_code == 422
    pages.job = pages.desk.create_job({"name": "Empty", "code": {"edition": "2023"}})
    assert pages.post("/facts", path="w-new/service.disconnect.rating_a", value="200").status_code == 200
    assert str(house_at(job(pages)).house.service.disconnect.rating_a) == "200"


def test_every_fact_of_a_load_has_a_field(pages: Pages) -> None:
    text = pages.get("/things/l-5rt")
    for name in ("quantity", "setting_a", "setting_restricted", "neutral"):
        assert f'id="w-4c1/l-5rt.{name}"' in text
    assert 'id="w-4c1/l-5rt.quantity" name="value" value="1"' in text, "left out means one"
    answer = pages.post("/facts", page="thing", path="w-4c1/l-5rt.setting_a", value="24 A")
    assert answer.status_code == 200 and "#todo" not in answer.text and "#line" in answer.text
    pages.post("/facts", page="thing", path="w-4c1/l-5rt.quantity", value="2")
    load_now = job(pages).work[0].add.loads[0]
    assert (str(load_now.setting_a), load_now.quantity) == ("24", 2)
    assert pages.post("/facts", page="thing", path="w-4c1/l-5rt.quantity", value="0").status_code == 422
    assert pages.client.get(f"/jobs/{pages.job}/things/w-4c1").status_code == 404
    assert '/things/l-2xf"' in pages.get("/survey")


def test_a_list_of_wanted_loads_is_work(pages: Pages) -> None:
    assert pages.post("/paste/loads/take", page="load", text="EV charger\t\t24 A\nspa\t\t48 A\n").status_code == 204
    assert [each.kind for each in job(pages).work[0].add.loads] == ["evse", "evse", "spa"]
    pages.job = pages.desk.create_job({"name": "Empty", "code": {"edition": "2023"}})
    assert pages.post("/paste/loads/take", page="load", text="EV charger\t\t24 A\n").status_code == 204
    assert job(pages).work[0].say == "New work" and job(pages).before.loads == ()


def test_what_a_file_says_wrong_is_shown_and_kept(pages: Pages) -> None:
    """A block that cannot be read stays in the file word for word; the pages show it."""
    text = pages.desk.open_job(pages.job).text + '\n[[before.loads]]\nid = "l-bad"\nkind = 7 # <b>\n'
    made = pages.client.post("/import", files={"file": ("half.toml", text.encode())})
    assert made.status_code == 200
    pages.job = next(row.id for row in pages.desk.library.jobs() if row.id != pages.job)
    seen = pages.get("/survey")
    assert "kind = 7 # &lt;b&gt;" in seen and 'class="slip fails"' in seen
    assert pages.post("/facts", path="before/p-k3m.bus_a", value="200").status_code == 200
    assert "kind = 7 # <b>" in pages.desk.open_job(pages.job).text


def test_the_history_speaks_of_things_by_their_names(pages: Pages) -> None:
    pages.post("/facts", path="before/p-k3m.bus_a", value="200")
    pages.post("/facts", path="before/service.conductors.size", value="4/0 Al")
    text = pages.get("/history")
    assert "Main panel: bus" in text and "Service: service conductors" in text
    assert "before/p-k3m" not in re.sub(r"<[^>]+>", " ", text)
