"""Facts of sources, transfer equipment, disconnects and signals as they are typed, chosen and shown again."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from deadfront.quantities import typed
from tests.web.start import Pages

STRINGS = "11 in series, 2 strings, 49.2 V, -0.26 %/C, 11.4 A, fuse 20 A, crystalline"


def added(pages: Pages, collection: str, kind: str, name: str = "One") -> str:
    """The id of a thing added as found."""
    form = {"base": str(pages.revision), "list": collection, "name": name, "work": "E", "kind": kind}
    sent = pages.client.post(f"/jobs/{pages.job}/things", data=form, follow_redirects=False)
    assert sent.status_code == 303, sent.text[:300]
    return sent.headers["location"].rpartition("/")[2]


def before(pages: Pages):  # type: ignore[no-untyped-def]
    return pages.desk.open_job(pages.job).job.before


def test_strings_of_modules_are_typed_in_one_line_and_shown_again(pages: Pages) -> None:
    path = f"before/{added(pages, 'sources', 'solar')}.modules"
    text = f"{STRINGS}; 9 in series, 1 string, not crystalline"
    assert pages.post("/facts", path=path, value=text).status_code == 200  # type: ignore[attr-defined]
    first, second = next(s for s in before(pages).sources if s.modules).modules
    assert (first.in_series, first.strings, first.crystalline) == (11, 2, True)
    assert first.open_percent_per_c == Decimal("-0.26") and first.fuse_max_a == 20 and first.open_volts_v is not None
    assert (second.in_series, second.crystalline, second.open_volts_v) == (9, False, None)
    assert f'value="{STRINGS}; 9 in series, 1 strings, not crystalline"' in pages.get(f"/things/{path[7:-8]}")


@pytest.mark.parametrize("wrong", ["11 in a row", "2 strings, 3 strings", "49.2 V, 51 V", "fuse big"])
def test_a_string_that_is_not_understood_is_said_and_nothing_saved(pages: Pages, wrong: str) -> None:
    path = f"before/{added(pages, 'sources', 'solar')}.modules"
    revision = pages.revision
    sent = pages.post("/facts", path=path, value=wrong)
    assert sent.status_code == 422 and "11 in series" in sent.text  # type: ignore[attr-defined]
    assert pages.revision == revision


def test_frost_is_typed_in_either_scale_and_a_negative_current_is_refused(pages: Pages) -> None:
    # hand: (-4 - 32) x 5/9 = -20; (122 - 32) x 5/9 = 50
    assert (typed("-18 C", "C"), typed("-4 F", "C"), typed("122 F", "C")) == (-18, -20, 50)
    ident = added(pages, "sources", "solar")
    assert pages.post("/facts", path=f"before/{ident}.lowest_c", value="-4 °F").status_code == 200  # type: ignore[attr-defined]
    assert next(s for s in before(pages).sources if s.id == ident).lowest_c == -20
    with pytest.raises(ValueError, match="-5"):
        typed("-5", "A")


def test_disconnects_keep_the_order_in_which_they_were_ticked(pages: Pages) -> None:
    near, far = added(pages, "switches", "", "At the set"), added(pages, "switches", "", "At the meter")
    path = f"before/{added(pages, 'sources', 'generator')}.disconnects"
    for ticked in ((far,), (far, near)):
        form = {f"value.{each}": "yes" for each in sorted(ticked)}
        assert pages.post("/facts", path=path, many="yes", **form).status_code == 200  # type: ignore[attr-defined]
    (source,) = (s for s in before(pages).sources if s.disconnects)
    assert source.disconnects == (far, near)
    shown = pages.get(f"/things/{source.id}")
    assert re.search(rf'value\.{far}".*checked.*value\.{near}" value="yes" checked', shown, re.S)


def test_transfer_equipment_may_be_fed_by_the_service_or_by_any_source(pages: Pages) -> None:
    source = added(pages, "sources", "generator", "Yard set")
    ident = added(pages, "transfers", "manual switch")
    assert pages.post("/facts", path=f"before/{ident}.normal", value="service").status_code == 200  # type: ignore[attr-defined]
    form = {"many": "yes", f"value.{source}": "yes"}
    assert pages.post("/facts", path=f"before/{ident}.alternate", **form).status_code == 200  # type: ignore[attr-defined]
    (transfer,) = before(pages).transfers
    assert (transfer.normal, transfer.alternate) == ("service", (source,))
    assert ">Yard set<" in pages.get(f"/things/{ident}").replace(" Yard set<", ">Yard set<")


def test_a_signal_is_added_by_its_purpose(pages: Pages) -> None:
    ident = added(pages, "signals", "shed load")
    (signal,) = before(pages).signals
    assert (signal.id, signal.purpose) == (ident, "shed load")
    refused = pages.client.post(
        f"/jobs/{pages.job}/things", data={"base": str(pages.revision), "list": "signals", "kind": "song", "work": "E"}
    )
    assert refused.status_code == 422
