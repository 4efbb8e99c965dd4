"""A sheet as it was marked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import mark, worked
from academy.exercises.models import Answer
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.sheets import figures_of
from academy.exercises.services.keeping import questions_of, rows_of, written

if TYPE_CHECKING:
    from academy.craft.exercise.engine import FieldMarking, Question as Drawn, WorkedLine
    from academy.exercises.models import AnswerSheet, Question

MARKS = {
    Answer.Verdict.RIGHT: "right",
    Answer.Verdict.FOLLOW_THROUGH: "follow",
    Answer.Verdict.SLIP: "wrong",
    Answer.Verdict.WRONG: "wrong",
    Answer.Verdict.UNREAD: "wrong",
    Answer.Verdict.EMPTY: "missing",
}


@dataclass(frozen=True)
class MarkedLine:
    """One line as it was marked: the stored verdict and marks, and the sentence that helps."""

    answer: Answer
    marking: FieldMarking

    @property
    def mark(self) -> str:
        return MARKS[Answer.Verdict(self.answer.verdict)]

    @property
    def slip(self) -> str:
        return slip_words(self.answer.mistake)

    @property
    def shown(self) -> str:
        """The answer as it was read, with its unit; what could not be read, as it was typed."""
        value = self.marking.reading.value
        if value is None:
            return self.answer.written
        return self.marking.field.printed(value)


@dataclass(frozen=True)
class MarkedQuestion:
    """One question of a sheet that was handed in."""

    row: Question
    lines: tuple[MarkedLine, ...]
    worked: tuple[WorkedLine, ...]

    @property
    def drawn(self) -> Drawn:
        return self.row.question

    @property
    def figures(self) -> list[tuple[str, str, str, str]]:
        return figures_of(self.drawn)

    @property
    def marks(self) -> int:
        return sum(int(line.answer.marks) for line in self.lines)

    @property
    def possible(self) -> int:
        return sum(line.marking.possible for line in self.lines)

    @property
    def slips(self) -> list[str]:
        return list(dict.fromkeys(line.slip for line in self.lines if line.slip))

    @property
    def unsafe(self) -> bool:
        return any(line.answer.unsafe for line in self.lines)


def marked_sheet(sheet: AnswerSheet) -> list[MarkedQuestion]:
    """The marked questions. Verdicts and marks are those stored at handing in. Two queries."""
    rows = rows_of(sheet)
    marked = []
    for question in questions_of(sheet):
        texts = written(question, rows)
        lines = tuple(
            MarkedLine(rows[question.pk, line.field.key], line)
            for line in mark(question.question, texts).fields
        )
        marked.append(MarkedQuestion(question, lines, worked(question.question, texts)))
    return marked
