"""Every entry of every edition is cited, described, and honest about its support."""

from __future__ import annotations

import hashlib
from importlib import resources

import pytest

from deadfront.codebook import EDITIONS, Codebook, open_book
from deadfront.codebook.data_files import data
from deadfront.codebook.editions import standing
from deadfront.errors import EditionNotEncoded, NotAllowed
from deadfront.msg import Msg

STATUSES = ("verified", "partly", "memory")


@pytest.fixture(params=EDITIONS)
def book(request: pytest.FixtureRequest) -> Codebook:
    return open_book(request.param)


def test_every_entry_has_coverage_for_every_edition() -> None:
    for kind, entries in (
        ("values", data().values), ("tables", data().tables), ("rules", data().rules),
        ("questions", data().questions), ("hazards", data().hazards),
    ):  # fmt: skip
        covered = data().coverage[kind]
        assert set(covered) == set(entries)
        for name, words in covered.items():
            assert len(words) == len(EDITIONS), name
            for word in words:
                assert word in STATUSES or word.removeprefix("no: ") in data().reasons, (name, word)


def test_every_value_table_and_rule_is_cited_in_every_edition(book: Codebook) -> None:
    for kind, name in book.names():
        entry = {"value": book.value, "table": book.table, "rule": book.rule}[kind](name)
        cite = entry.cite
        assert cite.section and cite.edition == book.edition and cite.code == "NEC"
        assert cite.status in STATUSES
        assert cite.source in data().sources, name
        assert (cite.status == "memory") == (cite.source == "M"), name


def test_every_value_has_a_figure_in_every_edition_that_lists_it(book: Codebook) -> None:
    for kind, name in book.names():
        if kind == "value":
            value = book.value(name)
            assert value.value is not None
            assert isinstance(value.value, bool | str) or value.number >= 0


def test_load_sections_move_to_article_120_in_2026() -> None:
    """2026 moves the load article from 220 to 120 (license-renewal course on the 2026 code)."""
    new = open_book("2026")
    for kind, name in new.names():
        entry = {"value": new.value, "table": new.table, "rule": new.rule}[kind](name)
        assert "220" not in entry.section, name


def test_what_is_not_encoded_says_why(book: Codebook) -> None:
    kinds = {"values": book.value, "tables": book.table, "rules": book.rule}
    for kind, look_up in kinds.items():
        for name, words in data().coverage[kind].items():
            word = words[EDITIONS.index(book.edition)]
            assert book.has(name) == (word in STATUSES)
            if word.startswith("no: "):
                with pytest.raises(EditionNotEncoded) as refused:
                    look_up(name)
                assert refused.value.msg.key == "codebook.not_encoded"
                params = refused.value.msg.params
                assert (params["name"], params["edition"]) == (name, book.edition)
                assert params["subject"] == Msg(f"codebook.subject.{name}")
                assert params["reason"] == Msg(f"codebook.reason.{word.removeprefix('no: ')}")


@pytest.mark.parametrize(
    ("edition", "subject", "reason"),
    [
        ("2026", "existing_dwelling_load", "table_120_83"),
        ("2026", "evse_in_existing", "table_120_83"),
        ("2026", "multifamily_load", "multifamily_2026"),
        ("2026", "measured_demand", "measured_2026"),
        ("2014", "mobile_home_load", "mobile_home"),
        ("2023", "mobile_home_load", "mobile_home"),
        ("2023", "farm_load", "farm"),
        ("2020", "energy_management_load", "managed_before_2023"),
        ("2017", "evse_managed", "managed_evse_before_2020"),
    ],
)
def test_rules_no_source_supports_are_refused(edition: str, subject: str, reason: str) -> None:
    with pytest.raises(EditionNotEncoded) as refused:
        open_book(edition).rule(subject)
    assert refused.value.msg.params["reason"] == Msg(f"codebook.reason.{reason}")


def test_unknown_names_and_editions_are_refused_with_what_is_allowed(book: Codebook) -> None:
    for look_up in (book.value, book.table, book.rule, book.barred, book.selected):
        with pytest.raises(NotAllowed) as refused:
            look_up("no_such_name")
        assert refused.value.msg.params["found"] == "no_such_name"
        assert refused.value.msg.params["allowed"]
    with pytest.raises(NotAllowed) as refused:
        open_book("2011")
    assert refused.value.msg.params["allowed"] == EDITIONS


def test_tables_match_their_checksums() -> None:
    """A changed figure cannot hide: whoever changes a table changes its checksum too, and says why."""
    folder = resources.files("deadfront.codebook") / "data" / "tables"
    for name, table in data().tables.items():
        text = (folder / f"{name}.csv").read_text(encoding="utf-8")
        assert hashlib.sha256(text.encode()).hexdigest() == table["sha256"], name


def test_every_source_is_used() -> None:
    used = {"M"}
    for entries in (data().values, data().tables, data().rules, data().questions, data().hazards):
        for entry in entries.values():
            written = entry["source"]
            used |= {written} if isinstance(written, str) else set(written.values())
    assert used == set(data().sources)


def test_an_entry_stands_until_a_later_edition_replaces_it() -> None:
    by_edition = {"2017": "a", "2023": "b"}
    assert [standing(by_edition, each) for each in EDITIONS] == [None, "a", "a", "b", "b"]
    assert standing("always", "2020") == "always"


def test_digest_is_stable_and_tells_editions_apart() -> None:
    assert len({open_book(each).digest for each in EDITIONS}) == len(EDITIONS)
    assert all(len(open_book(each).digest) == 64 for each in EDITIONS)
    assert open_book("2023") is open_book("2023")
