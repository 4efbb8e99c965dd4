"""Questions with their key, for the educator and for the printed key."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import mark, worked
from academy.craft.measure import shown_as
from academy.exercises.queries.lists import slip_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.craft.exercise.engine import Field, Question, WorkedLine
    from academy.craft.measure import Value


@dataclass(frozen=True)
class KeyLine:
    """One field with its right value, and the slips that are known for it: (name, value)."""

    field: Field
    right: str
    slips: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class KeyView:
    """One question with key and worked solution."""

    position: int
    question: Question
    lines: tuple[KeyLine, ...]
    worked: tuple[WorkedLine, ...]

    @property
    def marks(self) -> int:
        return sum(line.field.weight for line in self.lines)


def key_views(questions: Iterable[Question]) -> list[KeyView]:
    """In the order of the paper, counted from 1."""
    return [_view(position, question) for position, question in enumerate(questions, 1)]


def _view(position: int, question: Question) -> KeyView:
    lines = tuple(
        KeyLine(
            line.field,
            line.right,
            tuple(
                (slip_words(slip.id), _printed(line.field, slip.value))
                for slip in question.mistakes
                if slip.field == line.field.key
            ),
        )
        for line in mark(question, {}).fields
    )
    return KeyView(position, question, lines, worked(question))


def _printed(field: Field, value: Value) -> str:
    for choice in field.choices:
        if choice.key == value:
            return choice.label
    return shown_as(field.kind, value)
