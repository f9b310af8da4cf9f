"""The site list: one check for each question, and one for an answer that is no question of this edition."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.site import answers_given, site_list
from deadfront.codebook.data_files import data
from deadfront.job.problems import near
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity

IDS = (*(f"site.{key}" for key in data().questions), "site.unknown_answer")


def checks(facts: Facts) -> Iterator[Check]:
    """What every question of the site list comes to, then every answer that answers none."""
    yield from facts.site_checks or (asked.check for asked in site_list(facts))
    yield from _unknown_answers(facts)


def _unknown_answers(facts: Facts) -> Iterator[Check]:
    """An answer whose key is no question asked of such a thing: a slip in typing must not be silent."""
    given = tuple(answers_given(facts))
    if not given:
        return
    known = {(each.of, each.key) for each in facts.book.questions()}
    known |= {("service", key) for of, key in known if of == "job"}
    for of, ident, path, key in given:
        if (of, key) in known:
            continue
        like = near(key, sorted(k for kind, k in known if kind == of))
        earlier = key in data().questions and all(k != key for _, k in known)
        which = "other_edition" if earlier else "near" if like else "none"
        yield Check(
            "site.unknown_answer",
            ident,
            Outcome.FAILS,
            Severity.NOTE,
            said(f"check.site.unknown_answer.{which}", place=f"{path}.{key}", found=key,
                 near=like, edition=facts.book.edition),
            Reach.EXISTING,
            remedy=said("remedy.site.unknown_answer"),
        )  # fmt: skip
