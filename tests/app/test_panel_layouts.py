"""A layout tried by hand or chosen: judged before it is kept, kept as moves of the work, taken back by undo.

Expected figures: hand, the working beside each.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable

import pytest

from deadfront.app.answers import Answered, answer
from deadfront.app.panel_keeping import keeping_edits, wrong_on_the_way
from deadfront.app.panel_layouts import Tried, tried
from deadfront.app.panels import points
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.moves import step_words, with_ties
from deadfront.errors import NotAllowed, NotFound
from deadfront.job.edit import apply_edits
from deadfront.job.read import read_job
from deadfront.results.panel import Layout, Place
from tests.panel.houses import breaker, house

# Kitchen 15 A, den 10 A and hall 2 A, all in rows one and three: 27 A on L1, nothing on L2.
UNEVEN = [breaker("rng", "1, 3", 9600, poles=2), breaker("kit", "2", 1800), breaker("den", "5", 1200),
          breaker("hal", "6", 240)]  # fmt: skip
NEW = """
[[work]]
id = "w-1aa"
say = "Sump"
add.breakers = [{ id = "b-new", panel = "p-k3m", rating_a = 20, poles = 1 }]
"""


def answered(text: str) -> Answered:
    """A job file answered."""
    read = read_job(text)
    assert not read.problems
    return answer(read.job)


def names() -> Callable[[], str]:
    """Ids of breakers, one after another."""
    numbers = itertools.count(10)
    return lambda: f"b-z{next(numbers)}"


def kept(text: str, found: Tried, *, say: str = "By hand", own: bool = False, step: str = "w-9aa") -> str:
    """The job file with a layout kept."""
    edits = keeping_edits(answered(text).job, text, found, step, say, names(), own_step=own)
    return apply_edits(text, edits).text


def layout(text: str) -> Layout:
    """Where the breakers stand after the work."""
    case = answered(text).assessment.panels[0].case
    assert case is not None
    return case.found()


def test_a_breaker_put_elsewhere_is_judged_and_its_legs_are_told() -> None:
    """Hand: kitchen (15 A) from L1 to L2 leaves 12 A on L1 against 15 A on L2: 3 A apart."""
    found = tried(answered(house(*UNEVEN)), "p-k3m", {"b-kit": Place((4,))})
    assert found.changed == ("b-kit",) and found.wrong == () and found.may_be_kept
    assert found.after.apart is not None and found.after.apart.low == found.after.apart.high == 3
    assert found.now.apart is not None and found.now.apart.low == 27
    assert [(step.kind, step.piece, step.check_reach) for step in found.steps] == [("move", "b-kit", True)]
    assert found.at.tag("b-kit") == "RL" and found.at.tag("b-den") == "E"


@pytest.mark.parametrize(
    ("places", "kind"),
    [
        ({"b-kit": Place((5,))}, "overlap"), ({"b-kit": Place((9,))}, "no_such_space"),
        ({"b-rng": Place((7, 8))}, "shape"), ({"b-kit": Place((4, 6))}, "shape"),
    ],
)  # fmt: skip
def test_what_would_be_wrong_is_said_and_not_kept(places: dict[str, Place], kind: str) -> None:
    job = answered(house(*UNEVEN))
    found = tried(job, "p-k3m", places)
    assert kind in {each.kind for each in found.new_wrong} and not found.may_be_kept and found.steps == ()
    with pytest.raises(NotAllowed) as refused:
        keeping_edits(job.job, house(*UNEVEN), found, "w-9aa", "By hand", names())
    assert refused.value.msg.key == "app.panel.wrong"


def test_what_was_wrong_before_bars_nothing() -> None:
    """Den and hall are both said to be in 5: moving the kitchen is still kept, and the old fault still told."""
    text = house(breaker("kit", "2", 1800), breaker("den", "5", 1200), breaker("hal", "5", 240))
    found = tried(answered(text), "p-k3m", {"b-kit": Place((4,))})
    assert [each.kind for each in found.wrong] == ["overlap"] and found.new_wrong == () and found.may_be_kept
    assert layout(kept(text, found))["b-kit"] == Place((4,))


def test_nothing_moved_is_nothing_to_keep() -> None:
    job = answered(house(*UNEVEN))
    found = tried(job, "p-k3m", {"b-kit": Place((2,)), "b-none": Place((7,))})
    assert found.changed == () and not found.may_be_kept
    with pytest.raises(NotAllowed) as refused:
        keeping_edits(job.job, house(*UNEVEN), found, "w-9aa", "By hand", names())
    assert refused.value.msg.key == "app.panel.nothing_moved"


def test_hand_moves_share_one_step_and_a_second_move_takes_the_place_of_the_first() -> None:
    text = house(*UNEVEN)
    once = kept(text, tried(answered(text), "p-k3m", {"b-kit": Place((4,))}))
    twice = kept(once, tried(answered(once), "p-k3m", {"b-den": Place((7,))}), step="w-9bb")
    again = kept(twice, tried(answered(twice), "p-k3m", {"b-kit": Place((8,))}), step="w-9cc")
    work = read_job(again).job.work
    assert [(step.id, step.say) for step in work] == [("w-9aa", "By hand")]
    assert {ident: tuple(fields["spaces"]) for ident, fields in work[0].move.items()} == {"b-kit": (8,), "b-den": (7,)}
    assert layout(again)["b-kit"] == Place((8,)) and layout(again)["b-den"] == Place((7,))


def test_a_chosen_layout_is_a_step_of_its_own_even_after_moves_by_hand() -> None:
    text = house(*UNEVEN)
    once = kept(text, tried(answered(text), "p-k3m", {"b-kit": Place((4,))}))
    chosen = tried(answered(once), "p-k3m", {"b-kit": Place((8,)), "b-den": Place((7,))})
    both = kept(once, chosen, say="Evened", own=True, step="w-9bb")
    work = read_job(both).job.work
    assert [step.say for step in work] == ["By hand", "Evened"] and set(work[1].move) == {"b-kit", "b-den"}
    assert layout(both) == chosen.layout


def test_a_new_breaker_is_given_its_place_and_is_not_relocated() -> None:
    text = house(*UNEVEN, more=NEW)
    found = tried(answered(text), "p-k3m", {"b-new": Place((8,))})
    assert found.steps[0].new and found.may_be_kept
    after = kept(text, found)
    work = read_job(after).job.work
    assert len(work) == 1 and work[0].add.breakers[0].spaces == (8,) and work[0].move == {}
    assert answered(after).assessment.at.tag("b-new") == "N"


def test_a_swap_passes_through_a_breaker_set_aside() -> None:
    """Kitchen and den change places: one is taken out first, and all ends where it should."""
    text = house(*UNEVEN)
    found = tried(answered(text), "p-k3m", {"b-kit": Place((5,)), "b-den": Place((2,))})
    assert [step.kind for step in found.steps] == ["park", "move", "place"]
    assert layout(kept(text, found)) == found.layout


def test_another_size_is_another_breaker() -> None:
    plain = breaker("hal", "6", 240, 'protection = "plain"')
    text = house(*UNEVEN[:3], plain, panel="half_spaces = [7, 8]")
    found = tried(answered(text), "p-k3m", {"b-hal": Place((8,), "a")})
    assert found.may_be_kept and found.steps[0].other_size
    places = layout(kept(text, found))
    assert "b-hal" not in places and places["b-z10"] == Place((8,), "a")


def test_no_such_panel_and_a_panel_that_cannot_be_laid_out() -> None:
    job = answered(house(*UNEVEN))
    with pytest.raises(NotFound):
        tried(job, "p-xxx", {})
    with pytest.raises(NotAllowed) as refused:
        tried(answered(house(*UNEVEN).replace("spaces = 8\n", "")), "p-k3m", {})
    assert refused.value.msg.key == "app.panel.no_layout"


# --- what was not read is noted, not moved ------------------------------------------------------------------
def test_a_breaker_whose_space_was_not_read_is_noted_where_it_stands() -> None:
    text = house(*UNEVEN[:3], breaker("hal", "", 240))
    found = tried(answered(text), "p-k3m", {"b-hal": Place((8,))})
    after = kept(text, found)
    assert read_job(after).job.work == () and layout(after)["b-hal"] == Place((8,))
    assert found.at.tag("b-hal") == "E"
    (act,) = with_ties(found.now.case, found.steps)  # type: ignore[arg-type]
    assert step_words(act, Catalog("en")) == "hal stands in 8: noted as read at the panel; nothing is moved."


def test_nothing_is_searched_for_while_a_space_is_not_read() -> None:
    case = answered(house(*UNEVEN[:3], breaker("hal", "", 240))).assessment.panels[0].case
    assert case is not None
    with pytest.raises(NotAllowed) as refused:
        next(points(case))
    assert refused.value.msg.key == "app.panel.unread"


# --- every step of the work can be done in its order ------------------------------------------------------------------
CHARGER = """
[[work]]
id = "w-1aa"
say = "Charger"
add.breakers = [{ id = "b-evc", panel = "p-k3m", rating_a = 40, poles = 2 }]
"""


def test_moves_that_free_the_space_of_a_new_breaker_come_before_it() -> None:
    """Hand: the charger takes 5 and 7, where the den stands: the den goes to 8 by a step before the charger's."""
    text = house(*UNEVEN, more=CHARGER)
    found = tried(answered(text), "p-k3m", {"b-evc": Place((5, 7)), "b-den": Place((8,))})
    after = kept(text, found, own=True)
    work = read_job(after).job.work
    assert [step.id for step in work] == ["w-9aa", "w-1aa"] and set(work[0].move) == {"b-den"}
    assert work[1].add.breakers[0].spaces == (5, 7) and layout(after) == found.layout
    assert wrong_on_the_way(read_job(after).job, "p-k3m") == frozenset()


def test_by_hand_too_even_where_a_step_of_that_name_comes_later() -> None:
    text = house(*UNEVEN, more=CHARGER)
    once = kept(text, tried(answered(text), "p-k3m", {"b-kit": Place((4,))}))
    found = tried(answered(once), "p-k3m", {"b-evc": Place((5, 7)), "b-den": Place((8,))})
    after = kept(once, found, step="w-9bb")
    assert [step.id for step in read_job(after).job.work] == ["w-9bb", "w-1aa", "w-9aa"]
    assert wrong_on_the_way(read_job(after).job, "p-k3m") == frozenset() and layout(after) == found.layout


def test_moves_that_need_the_step_of_the_new_breaker_first_put_it_in_themselves() -> None:
    """Hand: the charger's step takes the hall out of 6; the den goes there, and the charger where the den was."""
    text = house(*UNEVEN, more=CHARGER + 'remove = ["b-hal", "c-hal"]\n')
    found = tried(answered(text), "p-k3m", {"b-evc": Place((5, 7)), "b-den": Place((6,))})
    after = kept(text, found, own=True)
    work = read_job(after).job.work
    assert [step.id for step in work] == ["w-1aa", "w-9aa"] and set(work[1].move) == {"b-den", "b-evc"}
    assert work[0].add.breakers[0].spaces == () and layout(after) == found.layout
    assert wrong_on_the_way(read_job(after).job, "p-k3m") == frozenset()
    assert answered(after).assessment.at.tag("b-evc") == "N", "it is new, wherever the work puts it first"
