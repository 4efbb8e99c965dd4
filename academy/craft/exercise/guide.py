"""What a marking guide says beside the key: tolerances in words, and what carries over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.engine import family_of
from academy.craft.exercise.question import Safety
from academy.craft.measure import Kind, Ratio, Spot, counted, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.exercise.question import Field, Question
    from academy.craft.measure import Value

_TIMES = {"clock", "day_time"}
_STEPS = {Kind.DEPTH: "depth", Kind.STEPS: "depth", Kind.COUNT: "one"}


def tolerance_words(field: Field, right: Value) -> str:
    """How far an answer may lie from ``right``: "± 1 g", "within 15 mm", "exact".

    A ratio is right in any equal form; choices and orders are right or not, and have no words.
    """
    if isinstance(right, Spot):
        return f"within {shown(field.tolerance.plain)} mm"
    if isinstance(right, Ratio):
        return "any equal ratio"
    if not isinstance(right, Decimal):
        return ""
    reach = field.tolerance.at(right)
    return f"± {_reach_shown(field, reach)}" if reach else "exact"


def _reach_shown(field: Field, reach: Decimal) -> str:
    if field.kind in _STEPS:
        return counted(reach, _STEPS[field.kind])
    unit = "min" if field.kind in _TIMES else field.unit
    return f"{shown(reach)} {unit}".rstrip()


def unsafe_words(field: Field, right: Value) -> str:
    """Which answers are not safe: "later than 11:40 is not safe"; empty where none is."""
    most = right if field.limit is None else field.limit
    if field.safety is Safety.LATER:
        return f"later than {shown_as(field.kind, most)} is not safe"
    if field.safety is Safety.ABOVE:
        return f"more than {shown_as(field.kind, most)} is not safe"
    wrong = ("yes",) if field.safety is Safety.YES_FOR_NO and right == "no" else field.unsafe
    if not wrong:
        return ""
    return f"not safe: {'; '.join(field.printed(key) for key in wrong)}"


def carries_over(question: Question) -> dict[str, tuple[str, ...]]:
    """By field key: the keys of the other fields whose own figures carry over into it.

    Found by asking the family's ``follow`` with the right figures as own ones: alone, and taken
    away from all the others. A safety field has none, nor has one that is worked from the givens.
    """
    family = family_of(question.family, question.version)
    drawn = family.parameters(**question.parameters)
    asked = [field.key for field in question.fields]

    def follows(key: str, own: Mapping[str, Value]) -> list[Any]:
        return list(family.follow(drawn, key, own))

    found: dict[str, tuple[str, ...]] = {}
    for field in question.fields:
        if field.safety:
            found[field.key] = ()
            continue
        others = {key: question.key[key] for key in asked if key != field.key}
        every = follows(field.key, others)
        found[field.key] = tuple(
            key
            for key in others
            if follows(field.key, {key: others[key]})
            or follows(field.key, {o: v for o, v in others.items() if o != key}) != every
        )
    return found
