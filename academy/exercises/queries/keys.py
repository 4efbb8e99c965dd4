"""Questions with their key, for the educator and for the printed key."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import mark, worked
from academy.exercises.queries.lines import cell_of
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.sheets import Shown, figures_of, picture_shown

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.craft.exercise.engine import Field, Question, WorkedLine


@dataclass(frozen=True)
class KeyLine:
    """One field with its right value, the sum that gives it, and its slips: (name, value)."""

    field: Field
    right: str
    sum: str
    slips: tuple[tuple[str, str], ...]

    @property
    def cell(self) -> str:
        """What stands beside the blank on paper."""
        return cell_of(self.field)


@dataclass(frozen=True)
class KeyView:
    """One question with key and worked solution."""

    position: int
    question: Question
    lines: tuple[KeyLine, ...]
    worked: tuple[WorkedLine, ...]

    @property
    def figures(self) -> list[tuple[str, str, str, str]]:
        return figures_of(self.question)

    @property
    def picture(self) -> Shown | None:
        """The drawing that the question asks about; None where it has none."""
        return picture_shown(self.question)

    @property
    def marks(self) -> int:
        return sum(line.field.weight for line in self.lines)


def key_views(questions: Iterable[Question]) -> list[KeyView]:
    """In the order of the paper, counted from 1."""
    return [_view(position, question) for position, question in enumerate(questions, 1)]


def _view(position: int, question: Question) -> KeyView:
    sums = {line.field: line.sum for line in question.solution}
    lines = tuple(
        KeyLine(
            line.field,
            line.right,
            sums.get(line.field.key, ""),
            tuple(
                (slip_words(slip.id), line.field.printed(slip.value))
                for slip in question.mistakes
                if slip.field == line.field.key
            ),
        )
        for line in mark(question, {}).fields
    )
    return KeyView(position, question, lines, worked(question))
