"""Marking: right, right on own earlier figures, a known slip, wrong; and what is not safe."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from academy.craft.measure import MINUTES_IN_A_DAY, Kind, Reading, Spot, Value

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from academy.craft.exercise.family import Family, Follow
    from academy.craft.exercise.question import Field, Line, Mistake, Question


MOST_STEPS = 9
"""From depth 1 to depth 10."""


class Verdict(StrEnum):
    """What came of one field."""

    RIGHT = "right"
    FOLLOW_THROUGH = "follow_through"
    SLIP = "slip"
    WRONG = "wrong"
    UNREAD = "unread"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class FieldMarking:
    """One field, marked. ``right`` is the right value ready to print.

    ``mistake`` is the id of the slip that was named; ``working`` the sum on own figures of a
    follow-through; ``sentence`` what the apprentice reads.
    """

    field: Field
    reading: Reading
    verdict: Verdict
    marks: int
    possible: int
    right: str
    sentence: str
    mistake: str = ""
    working: str = ""
    unsafe: bool = False


@dataclass(frozen=True, slots=True)
class Marking:
    """One question, marked."""

    question: Question
    fields: tuple[FieldMarking, ...]

    @property
    def marks(self) -> int:
        """Marks reached."""
        return sum(field.marks for field in self.fields)

    @property
    def possible(self) -> int:
        """Marks that could be reached."""
        return sum(field.possible for field in self.fields)

    @property
    def share(self) -> Decimal:
        """Marks reached, in per cent of the possible ones, not rounded."""
        return Decimal(100 * self.marks) / self.possible

    @property
    def not_safe(self) -> bool:
        """One unsafe answer is enough, whatever the sum."""
        return any(field.unsafe for field in self.fields)

    def passed(self, pass_share: Decimal) -> bool:
        """At or above the pass share, and safe."""
        return not self.not_safe and self.share >= pass_share

    def of(self, key: str) -> FieldMarking:
        """The marking of the field with this key."""
        return next(field for field in self.fields if field.field.key == key)


@dataclass(frozen=True, slots=True)
class PaperTotal:
    """Several questions together."""

    marks: int
    possible: int
    not_safe: bool

    @property
    def share(self) -> Decimal:
        """Per cent of the possible marks, not rounded; 0 for an empty paper."""
        return Decimal(100 * self.marks) / self.possible if self.possible else Decimal(0)

    def passed(self, pass_share: Decimal) -> bool:
        """At or above the pass share, and no unsafe answer in the whole paper."""
        return bool(self.possible) and not self.not_safe and self.share >= pass_share


@dataclass(frozen=True, slots=True)
class WorkedLine:
    """One line of the solution; ``own`` is the same line on own figures, where it differs."""

    line: Line
    own: Line | None = None


def paper_total(markings: Iterable[Marking]) -> PaperTotal:
    """The sum over the questions of one paper."""
    done = list(markings)
    return PaperTotal(
        sum(m.marks for m in done), sum(m.possible for m in done), any(m.not_safe for m in done)
    )


def mark(question: Question, answers: Mapping[str, str], family: Family[Any]) -> Marking:
    """Mark every field: right, else follow-through, else the nearest slip, else wrong."""
    readings = {
        field.key: field.read(answers.get(field.key, ""), question.key[field.key])
        for field in question.fields
    }
    own = _own_figures(question, readings)
    drawn = family.parameters(**question.parameters)
    return Marking(
        question,
        tuple(
            _mark_field(question, field, readings[field.key], own, (family, drawn))
            for field in question.fields
        ),
    )


def worked(
    question: Question, answers: Mapping[str, str], family: Family[Any]
) -> tuple[WorkedLine, ...]:
    """The stored solution, beside it the lines that come out otherwise on own figures."""
    readings = {field.key: field.read(answers.get(field.key, "")) for field in question.fields}
    own = {
        key: value
        for key, value in _own_figures(question, readings).items()
        if not question.field(key).earns(question.key[key], value)
    }
    if not own:
        return tuple(WorkedLine(line) for line in question.solution)
    lines = family.lines(family.parameters(**question.parameters), own)
    return tuple(
        WorkedLine(line, mine if mine.sum != line.sum else None)
        for line, mine in zip(question.solution, lines, strict=True)
    )


def _own_figures(question: Question, readings: Mapping[str, Reading]) -> dict[str, Value]:
    """The figures that were read and are possible: only these carry a follow-through."""
    own: dict[str, Value] = {}
    for field in question.fields:
        value = readings[field.key].value
        if value is not None and _possible(field.kind, value, question.key[field.key]):
            own[field.key] = value
    return own


def _possible(kind: Kind, own: Value, right: Value) -> bool:
    if not isinstance(own, Decimal) or not isinstance(right, Decimal):
        return True
    if kind is Kind.SHARE:
        return 0 <= own <= 100
    if kind is Kind.STEPS:
        return abs(own) <= MOST_STEPS
    if kind is Kind.CLOCK:
        return 0 <= own < MINUTES_IN_A_DAY
    if kind is Kind.DAY_TIME:
        return own >= 0
    return 0 < own <= 3 * right


def _mark_field(
    question: Question,
    field: Field,
    reading: Reading,
    own: Mapping[str, Value],
    method: tuple[Family[Any], Any],
) -> FieldMarking:
    right = question.key[field.key]
    printed = field.printed(right)
    given = reading.value
    if given is None:
        verdict = Verdict.EMPTY if reading.empty else Verdict.UNREAD
        return FieldMarking(field, reading, verdict, 0, field.weight, printed, reading.sentence)
    if field.earns(right, given):
        return FieldMarking(
            field, reading, Verdict.RIGHT, field.weight, field.weight, printed, "Right."
        )
    unsafe = field.is_unsafe(right, given)
    follow = None if field.safety else _followed(field, given, own, method)
    if follow is not None:
        return _follow_through(field, reading, follow, printed)
    slip = _nearest(question, field, given)
    warning = f"{field.safety.warning} " if unsafe and field.safety else ""
    sentence = slip.sentence if slip else f"The right answer is {printed}."
    return FieldMarking(
        field,
        reading,
        Verdict.SLIP if slip else Verdict.WRONG,
        0,
        field.weight,
        printed,
        warning + sentence,
        mistake=slip.id if slip else "",
        unsafe=unsafe,
    )


def _followed(
    field: Field, given: Value, own: Mapping[str, Value], method: tuple[Family[Any], Any]
) -> Follow | None:
    family, drawn = method
    others = {key: value for key, value in own.items() if key != field.key}
    for follow in family.follow(drawn, field.key, others):
        if _carries(follow.value) and field.tolerance.covers(follow.value, given):
            return follow
    return None


def _carries(value: Value) -> bool:
    return not isinstance(value, Decimal) or value > 0


def _follow_through(field: Field, reading: Reading, follow: Follow, printed: str) -> FieldMarking:
    own = f"{follow.sum} = {field.printed(follow.value)}"
    return FieldMarking(
        field,
        reading,
        Verdict.FOLLOW_THROUGH,
        field.weight,
        field.weight,
        printed,
        f"Right method, carried-over figure: {own}. The right answer is {printed}.",
        working=own,
    )


def _nearest(question: Question, field: Field, given: Value) -> Mistake | None:
    near = [
        mistake
        for mistake in question.mistakes
        if mistake.field == field.key and field.tolerance.covers(mistake.value, given)
    ]
    return min(near, key=lambda mistake: _distance(mistake.value, given), default=None)


def _distance(value: Value, given: Value) -> Decimal:
    if isinstance(value, Decimal) and isinstance(given, Decimal):
        return abs(value - given)
    if isinstance(value, Spot) and isinstance(given, Spot):
        return value.distance_mm(given)
    return Decimal(0)
