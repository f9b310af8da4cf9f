"""Energy management, the steps of the work, origins, names, sources, feeders, amendments: without a browser."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.codebook import read_overlay
from deadfront.job.house import house_at
from tests.web.start import HTMX, Pages


def job(pages: Pages) -> object:
    return pages.desk.open_job(pages.job).job


def plain(pages: Pages, where: str, **form: str) -> object:
    """A plain form sent, followed to the page it leads to."""
    return pages.client.post(f"/jobs/{pages.job}{where}", data={"base": str(pages.revision), **form})


def test_a_system_with_its_facts_and_loads(pages: Pages) -> None:
    assert plain(pages, "/systems", name="Garage", work="N").status_code == 200
    system = job(pages).work[0].add.energy_management[0]
    at = f"w-4c1/{system.id}"
    for name, text in (("listed", "yes"), ("set_point_a", "40 A"), ("restricted_access", "yes"),
                       ("lost_signal", "stops loads"), ("monitors", "service")):  # fmt: skip
        assert f'id="{at}.{name}"' in pages.get("/survey")
        assert pages.post("/facts", path=f"{at}.{name}", value=text).status_code == 200
    ticked = {"load.l-5rt": "yes", "load.l-zz": "yes", "load.": "yes"}
    assert pages.post(f"/systems/{system.id}/controls", **ticked).status_code == 200
    system = job(pages).work[0].add.energy_management[0]
    assert (system.listed, str(system.set_point_a), system.restricted_access) == (True, "40", True)
    assert (system.lost_signal, system.monitors, system.controls) == ("stops loads", "service", ("l-5rt",))
    before = pages.revision
    pages.post(f"/systems/{system.id}/controls", **ticked)
    assert pages.revision == before, "nothing differs, nothing is saved"
    pages.post(f"/systems/{system.id}/controls")
    assert job(pages).work[0].add.energy_management[0].controls == ()
    assert plain(pages, f"/systems/{system.id}/strike-out").status_code == 200
    assert job(pages).work[0].add.energy_management == ()
    assert plain(pages, "/systems/l-5rt/strike-out").status_code == 404
    assert plain(pages, "/systems", name="As found", work="E").status_code == 200
    found = job(pages).before.energy_management[0]
    assert found.name == "As found"
    block = pages.get("/survey").split(f'id="ticks-{found.id}"')[1].split("</details>")[0]
    assert 'name="load.l-2xf"' in block and "l-5rt" not in block, "what the work adds, a system as found cannot control"
    assert pages.post(f"/systems/{found.id}/controls", **{"load.l-5rt": "yes"}).status_code == 422


def test_steps_are_added_named_ordered_and_struck_out(pages: Pages) -> None:
    assert plain(pages, "/steps", does="add", say="New panel").status_code == 200
    first, second = (step.id for step in job(pages).work)
    pages.post("/facts", path=f"{second}.say", value="New main panel")
    assert job(pages).work[1].say == "New main panel"
    plain(pages, "/steps", does="up", step=second)
    assert [step.id for step in job(pages).work] == [second, first]
    plain(pages, "/steps", does="up", step=second)
    assert [step.id for step in job(pages).work] == [second, first], "the first stays the first"
    plain(pages, "/steps", does="down", step=second)
    plain(pages, "/steps", does="drop", step=second)
    assert [step.id for step in job(pages).work] == [first]
    assert plain(pages, "/steps", does="drop", step="w-zz").status_code == 404
    assert plain(pages, "/steps", does="add", say=" ").status_code == 422


def test_a_line_belongs_to_the_step_chosen(pages: Pages) -> None:
    plain(pages, "/steps", does="add", say="Heat pump")
    first, second = (step.id for step in job(pages).work)
    assert f'value="N {second}">new: Heat pump' in pages.get("/survey")
    ids = pages.blank("loads")
    line = {"what": "dryer", "circuit": "", "nameplate": "5 kW", "volts": "", **ids}
    assert pages.post("/rows/loads", **line, work=f"N {second}").status_code == 200
    assert [load.kind for load in job(pages).work[1].add.loads] == ["dryer"]
    assert f'value="N {second}" selected' in pages.get("/survey")
    pages.post("/rows/loads", **line, work=f"N {first}")
    assert ids["key"] in {load.id for load in job(pages).work[0].add.loads} and job(pages).work[1].add.loads == ()
    pages.post("/rows/loads", **line, work="E")
    assert ids["key"] in {load.id for load in job(pages).before.loads}
    for step in (second, first, second):
        assert pages.post("/rows/loads", **line, work=f"R {step}").status_code == 200
        out = {each.id: each.remove for each in job(pages).work}
        assert ids["key"] in out[step] and all(ids["key"] not in gone for key, gone in out.items() if key != step)
    before = pages.revision
    pages.post("/rows/loads", **line, work=f"R {second}")
    assert pages.revision == before
    pages.post("/rows/loads", **line, work="N w-zz")
    assert house_at(job(pages)).tag(ids["key"]) == "N", "a step that is gone: the first one"


def test_where_a_fact_comes_from(pages: Pages) -> None:
    path = "before/service.disconnect.rating_a"
    pages.client.post("/who", data={"who": "R. Alvarez"}, headers=HTMX)
    assert 'name="who" value="R. Alvarez"' in pages.get("/survey")
    answer = pages.post("/origins", of=path, **{"from": "seen", "who": "R. Alvarez", "on": "2026-05-12"})
    assert answer.status_code == 200 and answer.text.rstrip().endswith("seen, R. Alvarez, 2026-05-12")
    said = next(origin for origin in job(pages).origins if origin.of == path)
    assert (said.origin, said.who, str(said.on)) == ("seen", "R. Alvarez", "2026-05-12")
    assert "seen, R. Alvarez, 2026-05-12" in pages.get("/survey")
    before = pages.revision
    pages.post("/origins", of=path, **{"from": "seen", "who": "R. Alvarez", "on": "2026-05-12"})
    assert pages.revision == before
    pages.post("/origins", of=path, **{"from": ""})
    assert all(origin.of != path for origin in job(pages).origins)
    pages.post("/origins", of="w-4c1/l-5rt.nameplate_a", **{"from": "plans"})
    assert "from the plans" in pages.get("/things/l-5rt")


def test_an_origin_keeps_the_photo_it_had(pages: Pages) -> None:
    path = "before/l-2xf.nameplate_w"
    pages.post("/origins", of=path, **{"from": "measured", "who": "J. R."})
    said = next(origin for origin in job(pages).origins if origin.of == path)
    assert (said.origin, said.photo, said.who) == ("measured", "ph-31", "J. R.")


@pytest.mark.parametrize(
    "form",
    [{"of": "x"}, {"of": "before/l-2xf", "from": "seen"}, {"of": "before/l-2xf.volts", "from": "hearsay"},
     {"of": "before/l-2xf.volts", "from": "seen", "on": "May"}, {"of": "", "from": "seen"}],
)  # fmt: skip
def test_origins_that_are_refused(pages: Pages, form: dict[str, str]) -> None:
    before = pages.revision
    answer = pages.post("/origins", **form)
    assert answer.status_code == 422 and '<p class="bad">' in answer.text and pages.revision == before


def test_the_name_given_stands_in_the_history(pages: Pages) -> None:
    pages.client.post("/who", data={"who": "Renée\n <b>"}, headers=HTMX)
    pages.post("/facts", path="before/p-k3m.bus_a", value="200")
    assert pages.desk.history(pages.job)[0].who == "Renée <b>" and "<b>x" not in pages.get("/history")
    plain(pages, "/walk/undo")
    plain(pages, "/steps", does="add", say="More")
    assert [row.who for row in pages.desk.history(pages.job)][:2] == ["Renée <b>"] * 2
    made = pages.client.post("/jobs", data={"name": "9 Elm Ct", "edition": "2023"}).url.path.split("/")[2]
    assert pages.desk.history(made)[0].who == "Renée <b>"
    pages.client.post("/who", data={"who": ""}, headers=HTMX)
    pages.post("/facts", path="before/p-k3m.bus_a", value="225")
    assert pages.desk.history(pages.job)[0].who == ""


def test_sources_and_feeders(pages: Pages) -> None:
    ids = pages.blank("sources")
    line = {"kind": "solar", "name": "Roof", "output": "7.6 kW", "volts": "240", "work": "N"}
    assert pages.post("/rows/sources", **ids, **line).status_code == 200
    source = job(pages).work[0].add.sources[0]
    assert (source.kind, str(source.output_w), source.output_a) == ("solar", "7600", None)
    pages.post("/rows/sources", **ids, **{**line, "output": "32 A"})
    source = job(pages).work[0].add.sources[0]
    assert (source.output_w, str(source.output_a)) == (None, "32")
    assert pages.post("/rows/sources", **pages.blank("sources"), name="x").status_code == 422
    assert pages.post("/rows/sources", **ids, **{**line, "output": "1/2 hp"}).status_code == 422
    ids = pages.blank("panels")
    assert pages.post("/rows/panels", **ids, name="Garage", bus="100", fed_by="b-44t", work="E").status_code == 422
    ids = pages.blank("circuits")
    pages.post("/rows/circuits", **ids, spaces="10, 12", name="Garage panel", rating="60")
    assert "10, 12: Garage panel" in pages.get("/survey")
    panel = pages.blank("panels")
    assert pages.post("/rows/panels", **panel, name="Garage", bus="100", fed_by=ids["breakers"]).status_code == 200
    breaker = next(b for b in job(pages).before.breakers if b.id == ids["breakers"])
    assert breaker.role == "feeder"
    pages.post("/facts", page="thing", path=f"before/{breaker.id}.name", value="Feeder to the garage")
    assert "10, 12: Feeder to the garage" in pages.get("/survey")
    assert f'id="before/{breaker.id}.name"' in pages.get(f"/things/{ids['key']}")


def test_facts_that_only_some_houses_need(pages: Pages) -> None:
    pages.post("/rows/units", **pages.blank("units"), name="Upper", area="900", count="1")
    text = pages.get("/survey")
    assert ".mobile_home" in text and ".one_feeder" not in text and "corrected_ampacity_a" not in text
    answer = pages.post("/rows/units", **pages.blank("units"), name="Lower", area="900", count="2")
    for name in ("one_feeder", "gas_cooking", "laundry_shared"):
        assert f'.{name}"' in answer.text and f'.{name}"' in pages.get("/survey")
    answer = pages.post("/facts", path="before/service.conductors.needs_correction", value="yes")
    assert 'id="before/service.conductors.corrected_ampacity_a"' in answer.text
    assert '<option value="house">' in pages.get("/things/l-5rt")


AMENDMENT = """
[set.service_min_one_family_a]
value = 150
unit = "A"
section = "8.20.040"
[[bar]]
rule = "dwelling_optional_load"
[[require]]
section = "8.20.050"
text = "Mark the <b>disconnect</b>."
"""


def test_an_amendment_is_read_then_put_in_force_then_taken_out(pages: Pages) -> None:
    before = pages.revision
    seen = plain(pages, "/amendments/read", name="Marlow Falls", text=AMENDMENT)
    assert seen.status_code == 200 and "100 A becomes 150 A (8.20.040)" in seen.text and pages.revision == before
    assert "Mark the &lt;b&gt;" in seen.text and "May not be used: dwelling optional load" in seen.text
    taken = plain(pages, "/amendments/read", name="Marlow Falls", text=AMENDMENT, take="yes")
    assert taken.status_code == 200 and pages.revision == before + 1 and "1 amendment in force" in taken.text
    assert job(pages).amendments[0]["name"] == "Marlow Falls"
    plain(pages, "/amendments/read", name="Marlow Falls", text='[[bar]]\nrule = "dwelling_optional_load"', take="yes")
    assert len(job(pages).amendments) == 1, "one of the same name takes its place"
    assert plain(pages, "/amendments/drop", name="Marlow Falls").status_code == 200 and job(pages).amendments == ()
    assert plain(pages, "/amendments/drop", name="Marlow Falls").status_code == 404


@pytest.mark.parametrize(
    ("text", "said"),
    [("= =", "Marlow"), ("[set.no_such_figure]\nvalue = 1", "no_such_figure"), ('[[bar]]\nrule = "x"', "bar"),
     ("[set.service_min_one_family_a]\nvalue = 150\nunit = \"V\"", "unit"), ("", "Give both"), ("[" * 3000, "Marlow")],
)  # fmt: skip
def test_amendments_that_are_refused_say_why_and_stay(pages: Pages, text: str, said: str) -> None:
    for take in ("", "yes"):
        answer = plain(pages, "/amendments/read", name="Marlow", text=text, take=take)
        assert answer.status_code == 422 and said in answer.text and 'role="alert"' in answer.text
        assert 'value="Marlow"' in answer.text and job(pages).amendments == ()


def test_confirmations_of_a_license_holder_are_shown(tmp_path: Path) -> None:
    overlay = read_overlay(
        'holder = "R. Alvarez"\nlicense = "ME-1042"\ndate = 2026-05-12\n[[confirmed]]\n'
        'name = "optional_heat_few_percent"\nedition = "2023"\nvalue = 65\n[[confirmed]]\n'
        'name = "dryer_demand"\nedition = "2023"\nrow = "6"\ncolumn = "percent"\nvalue = 75\n'
    )
    pages = Pages(tmp_path, overlay=overlay)
    text = pages.client.get("/book?q=dryer&edition=2023").text
    assert "confirmed by R. Alvarez, 2026-05-12" in text and "2 figures compared with the book" in text
    assert "license ME-1042" in pages.get("/amendments")
    assert "Alvarez" not in pages.client.get("/book?q=dryer&edition=2020").text.split("t-book")[1]
