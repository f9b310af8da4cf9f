"""A channel on the screen: added, its facts typed, its findings beside it, its plan among the sheets."""

from __future__ import annotations

from tests.web.start import Pages


def added(pages: Pages, collection: str, kind: str = "") -> str:
    data = {"base": str(pages.revision), "list": collection, "name": "", "kind": kind, "work": "E"}
    sent = pages.client.post(f"/jobs/{pages.job}/things", data=data, follow_redirects=False)
    assert sent.status_code == 303, sent.text[:300]
    return sent.headers["location"].rpartition("/")[2]


def test_a_channel_is_typed_judged_and_planned_on_a_sheet(pages: Pages) -> None:
    gear, channel = added(pages, "gear", "metering"), added(pages, "channels")
    facts = {"gear": gear, "input": "3", "measures": "service", "leg": "L1", "voltage_leg": "L2", "rating_a": "200 A",
             "window": "one hot", "output": "current", "secondary_ma": "5000", "primary_a": "200", "shorting": "no",
             "arrow_points_to": "source", "arrow_fitted_to": "source", "neutral_w": "400 W"}  # fmt: skip
    for name, value in facts.items():
        sent = pages.post("/facts", page=f"thing:{channel}", path=f"before/{channel}.{name}", value=value)
        assert sent.status_code == 200, (name, sent.text[:300])  # type: ignore[attr-defined]
    (found,) = pages.desk.open_job(pages.job).job.before.channels
    assert (found.measures, found.secondary_ma, found.shorting) == ("service", 5000, False)
    text = pages.get(f"/things/{channel}")
    assert "nothing shorts it before it is opened" in text and "/help/metering.open_secondary" in text
    assert "Never open a current-output CT under load." in text
    assert f"/things/{channel}" in pages.get("/circuits")
    sheet = pages.get("/sheets/metering")
    assert "Never open a current-output CT under load." in sheet and "Not revenue metering." in sheet
    assert pages.client.get(f"/jobs/{pages.job}/packet.pdf").content.startswith(b"%PDF")


def test_what_a_plan_waits_for_leads_to_its_field(pages: Pages) -> None:
    channel = added(pages, "channels")
    text = pages.get(f"/things/{channel}")
    for name in ("leg", "window", "arrow_points_to", "set_primary_a"):
        assert f'id="before/{channel}.{name}"' in text, name
