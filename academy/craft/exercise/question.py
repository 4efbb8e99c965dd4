"""What one drawn question is, and its exact JSON form.

A question carries everything it was drawn and is marked with, so that the row that keeps it can be
printed and marked again years later, whatever has become of the rules.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.field import Field, Safety
from academy.craft.exercise.packing import Scalar, pack, unpack, unpack_value
from academy.craft.rules import Decided

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.measure import Reading, Value

__all__ = ["Field", "Given", "Level", "Line", "Mistake", "Question", "Safety", "Scalar"]


class Level(StrEnum):
    """How hard: one step, the whole sum, or turned round and overridden by a label."""

    FIRST = "first"
    WORKING = "working"
    EXAM = "exam"


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
            "parameters": {name: pack(value) for name, value in self.parameters.items()},
            "text": self.text,
            "givens": [[row.label, row.value, row.unit, row.short] for row in self.givens],
            "fields": [field.to_data() for field in self.fields],
            "key": {name: pack(value) for name, value in self.key.items()},
            "mistakes": [[m.id, m.field, pack(m.value), m.sentence] for m in self.mistakes],
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
            parameters={name: unpack(value) for name, value in data["parameters"].items()},
            text=data["text"],
            givens=tuple(Given(*row) for row in data["givens"]),
            fields=tuple(Field.from_data(field) for field in data["fields"]),
            key={name: unpack_value(value) for name, value in data["key"].items()},
            mistakes=tuple(
                Mistake(name, field, unpack_value(value), sentence)
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
