"""What one drawn question is, and its exact JSON form.

A question carries everything it was drawn and is marked with, so that the row that keeps it can be
printed and marked again years later, whatever has become of the rules.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from academy.craft.exercise.spots import read_spot, spot_shown
from academy.craft.measure import (
    EXACT,
    Choice,
    Kind,
    Order,
    Ratio,
    Reading,
    Several,
    Spot,
    Tolerance,
    Value,
    read_answer,
    shown_as,
)
from academy.craft.rules import Decided

Scalar = Decimal | Ratio | str | int | bool | None


class Level(StrEnum):
    """How hard: one step, the whole sum, or turned round and overridden by a label."""

    FIRST = "first"
    WORKING = "working"
    EXAM = "exam"


class Safety(StrEnum):
    """When a wrong answer would be dangerous on a head, not merely wrong."""

    LATER = "later"
    YES_FOR_NO = "yes_for_no"
    ABOVE = "above"
    LISTED = "listed"

    @property
    def warning(self) -> str:
        """What an unsafe answer is told first."""
        return {
            Safety.LATER: "Not safe: that is past the ceiling.",
            Safety.YES_FOR_NO: "Not safe: the answer is no.",
            Safety.ABOVE: "Not safe: that is over the limit.",
            Safety.LISTED: "Not safe: that would go on where it has to end.",
        }[self]


@dataclass(frozen=True, slots=True)
class Given:
    """One row of the table under the text; the value is ready to print, without its unit.

    ``short`` are some words of a long label, for the line that stays in sight on a phone.
    """

    label: str
    value: str
    unit: str = ""
    short: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One line to answer.

    ``also`` are further values that earn the marks, where the trade accepts more than the key.
    ``safety`` says when an answer is unsafe: ABOVE looks at ``limit``, LATER at the right value or
    the ``limit`` where there is one, LISTED at the choices in ``unsafe``. With ``or_none`` "none"
    is an answer, with ``over_whole`` a share above 100 %. ``needs`` are the beginnings of the
    labels of the givens that this line is worked from, the first ones first.
    """

    key: str
    label: str
    kind: Kind
    weight: int = 1
    tolerance: Tolerance = EXACT
    safety: Safety | None = None
    choices: tuple[Choice, ...] = ()
    also: tuple[Value, ...] = ()
    limit: Decimal | None = None
    unsafe: tuple[str, ...] = ()
    or_none: bool = False
    over_whole: bool = False
    needs: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The sign printed behind the box."""
        return self.kind.unit

    @property
    def widget(self) -> str:
        """How a page asks for it: number, ratio, time, day_time, shade, choice and so on."""
        return _WIDGETS.get(self.kind, "number")

    def read(self, text: str, avoid: Value | None = None) -> Reading:
        """What was understood of the typed text."""
        if self.kind is Kind.SPOT:
            return read_spot(text)
        return read_answer(
            self.kind,
            text,
            self.choices,
            avoid,
            or_none=self.or_none,
            over_whole=self.over_whole,
        )

    def earns(self, right: Value, given: Value) -> bool:
        """Whether ``given`` earns the marks: within tolerance of the key or accepted beside it."""
        return any(self.tolerance.covers(value, given) for value in (right, *self.also))

    def is_unsafe(self, right: Value, given: Value) -> bool:
        """Whether ``given`` would be dangerous on a head."""
        if self.safety is Safety.YES_FOR_NO:
            return right == "no" and given == "yes"
        if self.safety is Safety.LISTED:
            return given in self.unsafe
        most = right if self.limit is None else self.limit
        if self.safety is None or not isinstance(most, Decimal) or not isinstance(given, Decimal):
            return False
        return given > most

    def printed(self, value: Value) -> str:
        """A value of this field ready to print; choices by their words."""
        if isinstance(value, Several):
            return "; ".join(map(self._word, value.keys)) or "none of these"
        if isinstance(value, Spot):
            return spot_shown(value)
        found = self._word(value) if isinstance(value, str) else ""
        return found if found != value and found else shown_as(self.kind, value)

    def _word(self, key: str) -> str:
        return next((choice.label for choice in self.choices if choice.key == key), key)


_WIDGETS = {
    Kind.RATIO: "ratio",
    Kind.PARTS: "ratio",
    Kind.CLOCK: "time",
    Kind.DAY_TIME: "day_time",
    Kind.DEPTH: "shade",
    Kind.CHOICE: "choice",
    Kind.YES_NO: "choice",
    Kind.SEVERAL: "several",
    Kind.ORDER: "order",
    Kind.SPOT: "spot",
}


@dataclass(frozen=True, slots=True)
class Mistake:
    """A known slip: the value it yields in one field and the sentence that helps."""

    id: str
    field: str
    value: Value
    sentence: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a worked solution: what is done, the sum in figures, its result.

    ``field`` is the field whose answer this line gives; empty for a step between.
    """

    words: str
    sum: str
    result: str
    field: str = ""


@dataclass(frozen=True, slots=True)
class Question:
    """One drawn question with all it is printed and marked with.

    ``key`` holds the right value of every figure in the sum, also of those that are not asked;
    ``solution`` is worked from it. ``identity`` names the numbers that make it this question.
    """

    family: str
    version: int
    level: Level
    seed: int
    identity: str
    title: str
    parameters: Mapping[str, Scalar]
    text: str
    givens: tuple[Given, ...]
    fields: tuple[Field, ...]
    key: Mapping[str, Value]
    mistakes: tuple[Mistake, ...]
    solution: tuple[Line, ...]
    decided: tuple[Decided, ...]
    rule_set: int

    def field(self, key: str) -> Field:
        """The field with this key; ``KeyError`` where the question does not ask it."""
        for field in self.fields:
            if field.key == key:
                return field
        raise KeyError(key)

    def read(self, key: str, text: str) -> Reading:
        """How a typed answer reads; the example in a refusal is never the right answer."""
        return self.field(key).read(text, avoid=self.key[key])

    def to_data(self) -> dict[str, Any]:
        """Plain data: texts, whole numbers, lists. Decimals and ratios are kept as text."""
        return {
            "family": self.family,
            "version": self.version,
            "level": str(self.level),
            "seed": self.seed,
            "identity": self.identity,
            "title": self.title,
            "parameters": {name: _pack(value) for name, value in self.parameters.items()},
            "text": self.text,
            "givens": [[row.label, row.value, row.unit, row.short] for row in self.givens],
            "fields": [_field_data(field) for field in self.fields],
            "key": {name: _pack(value) for name, value in self.key.items()},
            "mistakes": [[m.id, m.field, _pack(m.value), m.sentence] for m in self.mistakes],
            "solution": [[line.words, line.sum, line.result, line.field] for line in self.solution],
            "decided": [decided.to_data() for decided in self.decided],
            "rule_set": self.rule_set,
        }

    @classmethod
    def from_data(cls, data: Mapping[str, Any]) -> Question:
        """The exact reverse of ``to_data``."""
        return cls(
            family=data["family"],
            version=data["version"],
            level=Level(data["level"]),
            seed=data["seed"],
            identity=data["identity"],
            title=data["title"],
            parameters={name: _unpack(value) for name, value in data["parameters"].items()},
            text=data["text"],
            givens=tuple(Given(*row) for row in data["givens"]),
            fields=tuple(_field_from(field) for field in data["fields"]),
            key={name: _unpack_value(value) for name, value in data["key"].items()},
            mistakes=tuple(
                Mistake(name, field, _unpack_value(value), sentence)
                for name, field, value, sentence in data["mistakes"]
            ),
            solution=tuple(Line(*line) for line in data["solution"]),
            decided=tuple(Decided.from_data(decided) for decided in data["decided"]),
            rule_set=data["rule_set"],
        )

    def to_json(self) -> str:
        """``to_data`` as one line of JSON."""
        return json.dumps(self.to_data(), ensure_ascii=False)

    @classmethod
    def from_json(cls, text: str) -> Question:
        """The exact reverse of ``to_json``."""
        return cls.from_data(json.loads(text))


def _pack(value: Scalar | Value) -> object:
    if isinstance(value, Decimal):
        return {"number": str(value)}
    if isinstance(value, Ratio):
        return {"ratio": [value.first, value.second]}
    if isinstance(value, Several):
        return {"several": list(value.keys)}
    if isinstance(value, Order):
        return {"order": list(value.keys)}
    if isinstance(value, Spot):
        return {"spot": [str(n) for n in (value.azimuth, value.elevation, *value.at_mm)]}
    return value


def _unpack(value: Any) -> Scalar:
    if not isinstance(value, Mapping):
        scalar: Scalar = value
        return scalar
    if "ratio" in value:
        return Ratio(*value["ratio"])
    return Decimal(value["number"])


def _unpack_value(value: Any) -> Value:
    if isinstance(value, Mapping):
        if "several" in value:
            return Several(tuple(value["several"]))
        if "order" in value:
            return Order(tuple(value["order"]))
        if "spot" in value:
            azimuth, elevation, *at_mm = map(Decimal, value["spot"])
            return Spot(azimuth, elevation, (at_mm[0], at_mm[1], at_mm[2]))
    unpacked = _unpack(value)
    if isinstance(unpacked, Decimal | Ratio | str):
        return unpacked
    raise TypeError(f"Not a value of an answer: {value!r}")


def _field_data(field: Field) -> dict[str, Any]:
    tolerance = field.tolerance
    steps = [
        tolerance.plain,
        tolerance.small,
        tolerance.small_below,
        tolerance.large_percent,
        tolerance.large_above,
    ]
    return {
        "key": field.key,
        "label": field.label,
        "kind": str(field.kind),
        "weight": field.weight,
        "tolerance": [None if step is None else str(step) for step in steps],
        "safety": str(field.safety) if field.safety else None,
        "choices": [[choice.key, choice.label, list(choice.also)] for choice in field.choices],
        "also": [_pack(value) for value in field.also],
        "limit": None if field.limit is None else str(field.limit),
        "unsafe": list(field.unsafe),
        "or_none": field.or_none,
        "over_whole": field.over_whole,
        "needs": list(field.needs),
    }


def _field_from(data: Mapping[str, Any]) -> Field:
    steps = [None if step is None else Decimal(step) for step in data["tolerance"]]
    return Field(
        key=data["key"],
        label=data["label"],
        kind=Kind(data["kind"]),
        weight=data["weight"],
        tolerance=Tolerance(steps[0] or Decimal(0), *steps[1:]),
        safety=Safety(data["safety"]) if data["safety"] else None,
        choices=tuple(Choice(key, label, tuple(also)) for key, label, also in data["choices"]),
        # Questions drawn before 2026-12 know nothing of these.
        also=tuple(_unpack_value(value) for value in data.get("also", ())),
        limit=Decimal(data["limit"]) if data.get("limit") else None,
        unsafe=tuple(data.get("unsafe", ())),
        or_none=data.get("or_none", False),
        over_whole=data.get("over_whole", False),
        needs=tuple(data.get("needs", ())),
    )
