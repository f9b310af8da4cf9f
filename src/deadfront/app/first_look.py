"""The first look: ten questions at the door or on the phone, and a bounded answer before the full survey.

What is not answered is counted as there; sizes are common ones; nothing else is taken to be connected. Each of these is
a named assumption that stays printed and bars a signature until facts replace it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from deadfront.errors import NotAllowed
from deadfront.msg import Msg, said
from deadfront.quantities import typed

Answers = Mapping[str, str | Sequence[str]]
Edits = list[dict[str, Any]]
Form = Literal["number", "choice", "many"]
UNKNOWN = "unknown"
NONE = "none"


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the first look; "unknown" is always allowed.

    Args:
        key: Its name among the answers.
        say: The question.
        kind: number (with a unit), choice (one of options), many (any of options).
        unit: Unit of a number.
        options: Allowed values and their words.
        unanswered: Values counted as there when it is not answered.
    """

    key: str
    say: Msg
    kind: Form
    unit: str = ""
    options: tuple[tuple[str, Msg], ...] = ()
    unanswered: tuple[str, ...] = ()


def _question(
    key: str, kind: Literal["number", "choice", "many"], *options: str, unit: str = "", unanswered: Sequence[str] = ()
) -> Question:
    words = tuple((value, said(f"first_look.option.{value}")) for value in options)
    return Question(key, said(f"first_look.question.{key}"), kind, unit, words, tuple(unanswered))


QUESTIONS: tuple[Question, ...] = (
    _question("disconnect", "number", unit="A"),
    _question("floor_area", "number", unit="ft2"),
    _question("cooking", "choice", NONE, "range", "oven_and_cooktop", unanswered=["range"]),
    _question("dryer", "choice", NONE, "dryer", unanswered=["dryer"]),
    _question("water_heater", "choice", NONE, "water_heater", "tankless_water_heater", unanswered=["water_heater"]),
    _question("heating", "choice", NONE, "gas_furnace", "space_heat", "heat_pump", unanswered=["space_heat"]),
    _question("cooling", "choice", NONE, "air_conditioner", unanswered=["air_conditioner"]),
    _question("fastened", "many", "dishwasher", "disposal", "microwave", "garage_door", "sump_pump", "range_hood",
              unanswered=["dishwasher", "disposal", "microwave"]),
    _question("large", "many", "well_pump", "pool_pump", "spa", "sauna", "evse"),
    _question("wanted", "many", "evse_24", "evse_32", "evse_40", "evse_48", "heat_pump", "air_conditioner", "range",
              "dryer", "water_heater", "spa"),
)  # fmt: skip
"""The ten questions, in the order to ask them."""

KINDS = {"oven_and_cooktop": ("oven", "cooktop"), "gas_furnace": ("air_handler",)}


def _number(question: Question, text: str) -> str | None:
    """A number as typed, in the question's unit; None where it is not known."""
    if text.strip().lower() in ("", UNKNOWN):
        return None
    try:
        return str(typed(text, question.unit))
    except ValueError as error:
        raise NotAllowed("first_look.not_a_number", question=question.say, found=text, unit=question.unit) from error


def _values(question: Question, answers: Answers) -> tuple[str, ...] | None:
    """Chosen values; None where the question is not answered."""
    given = answers.get(question.key, ())
    values = tuple(v for v in ((given,) if isinstance(given, str) else tuple(given)) if v)
    if not values or UNKNOWN in values:
        return None
    allowed = {value for value, _ in question.options} | ({NONE} if question.kind == "many" else set())
    for value in values:
        if value not in allowed:
            raise NotAllowed(
                "first_look.not_an_option", question=question.say, found=value, allowed=tuple(sorted(allowed))
            )
    return tuple(v for v in values if v != NONE)


def _loads(value: str, fresh_id: Callable[[str], str]) -> list[dict[str, Any]]:
    """Things of one answer: an EVSE with its amperes, an oven and a cooktop, or one load of that kind."""
    if value.startswith("evse_"):
        return [{"id": fresh_id("l"), "kind": "evse", "nameplate_a": value.removeprefix("evse_"), "volts": "240"}]
    return [{"id": fresh_id("l"), "kind": kind} for kind in KINDS.get(value, (value,))]


def first_look_edits(answers: Answers, fresh_id: Callable[[str], str]) -> Edits:
    """Edits that turn the answers into a house as found, a wanted work step and named assumptions.

    Args:
        answers: By question key: a typed number, an option, several options, or "unknown".
        fresh_id: Makes an id for a prefix ("l", "u", "w").
    Raises:
        NotAllowed: an answer that is no number or none of the options.
    """
    by_key = {question.key: question for question in QUESTIONS}
    for key in answers:
        if key not in by_key:
            raise NotAllowed("first_look.no_such_question", found=key, allowed=tuple(by_key))
    edits: Edits = [{"do": "set", "path": "before/service.system", "value": "120/240 1ph 3w"}]
    rating = _number(by_key["disconnect"], str(answers.get("disconnect", "")))
    if rating is not None:
        edits.append({"do": "set", "path": "before/service.disconnect.rating_a", "value": rating})
    unit: dict[str, Any] = {"id": fresh_id("u")}
    area = _number(by_key["floor_area"], str(answers.get("floor_area", "")))
    edits.append(
        {
            "do": "add",
            "step": "before",
            "collection": "units",
            "thing": unit | ({"floor_area_ft2": area} if area else {}),
        }
    )
    unanswered = False
    for question in QUESTIONS[2:9]:
        values = _values(question, answers)
        unanswered |= values is None and bool(question.unanswered)
        for value in question.unanswered if values is None else values:
            for thing in _loads(value, fresh_id):
                edits.append({"do": "add", "step": "before", "collection": "loads", "thing": thing})
    wanted = _values(by_key["wanted"], answers) or ()
    if wanted:
        step = fresh_id("w")
        edits.append({"do": "add_step", "id": step, "say": "New loads"})
        for value in wanted:
            for thing in _loads(value, fresh_id):
                edits.append({"do": "add", "step": step, "collection": "loads", "thing": thing})
    named = ["nothing_else_connected", "typical_sizes", "disconnect_is_smallest"] + (
        ["unanswered_present"] if unanswered else []
    )
    return edits + [{"do": "assume", "name": name} for name in named]
