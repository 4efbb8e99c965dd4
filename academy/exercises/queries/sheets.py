"""A sheet as it is answered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.exercises.crib import Crib, crib
from academy.exercises.services.sheets import questions_of, rows_of, written

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.exercise.engine import Field, Question as Drawn
    from academy.exercises.models import AnswerSheet, Question

# What stands in the unit cell where the field itself has no unit.
CELLS = {"ratio": "parts", "time": "h:min", "day_time": "day h:min"}
KEYBOARDS = {"number": "decimal", "time": "decimal", "shade": "numeric"}


def figures_of(question: Drawn) -> list[tuple[str, str, str, str]]:
    """The givens of a question as parts/figures.html takes them."""
    return [(given.label, given.value, given.unit, "") for given in question.givens]


def cell_of(field: Field) -> str:
    """What stands beside the blank: the unit, or the form the answer takes."""
    return field.unit or CELLS.get(field.widget, "")


@dataclass(frozen=True)
class Note:
    """What parts/reading.html shows: how a text reads, never whether it is right."""

    errors: tuple[str, ...] = ()
    reads: str = ""
    ask: bool = False


@dataclass(frozen=True)
class Line:
    """One field on the page where it is answered."""

    position: int
    question: Drawn
    field: Field
    written: str

    @property
    def name(self) -> str:
        return f"q{self.position}-{self.field.key}"

    @property
    def cell(self) -> str:
        return cell_of(self.field)

    @property
    def keyboard(self) -> str:
        return KEYBOARDS.get(self.field.widget, "text")

    @property
    def is_choice(self) -> bool:
        return self.field.widget == "choice"

    @property
    def is_open(self) -> bool:
        return not self.written.strip()

    @cached_property
    def chosen(self) -> str:
        """The key of the choice that was made."""
        reading = self.question.read(self.field.key, self.written)
        return str(reading.value) if reading.understood else ""

    @cached_property
    def note(self) -> Note:
        if self.is_open or self.is_choice:
            return Note()
        reading = self.question.read(self.field.key, self.written)
        if not reading.understood:
            return Note(errors=(reading.sentence,))
        return Note(reads=reading.doubt or reading.sentence, ask=bool(reading.doubt))


@dataclass(frozen=True)
class Asked:
    """One question on the page where it is answered."""

    row: Question
    lines: tuple[Line, ...]

    @property
    def position(self) -> int:
        return self.row.position

    @property
    def drawn(self) -> Drawn:
        return self.row.question

    @property
    def figures(self) -> list[tuple[str, str, str, str]]:
        """The givens as parts/figures.html takes them."""
        return figures_of(self.drawn)

    @property
    def crib(self) -> Crib:
        """The givens for the first open line."""
        first_open = (line.field.key for line in self.lines if line.is_open)
        return crib(self.drawn, next(first_open, ""))

    def crib_after(self, line: Line) -> Crib:
        """The givens for the line that comes after this one; after the last, for that one."""
        keys = [other.field.key for other in self.lines]
        here = keys.index(line.field.key)
        return crib(self.drawn, keys[min(here + 1, len(keys) - 1)])

    @property
    def open(self) -> int:
        return sum(line.is_open for line in self.lines)

    @property
    def marks(self) -> int:
        return sum(line.field.weight for line in self.lines)


@dataclass(frozen=True)
class OpenSheet:
    """A sheet that is being answered."""

    sheet: AnswerSheet
    asked: tuple[Asked, ...]

    @property
    def open(self) -> int:
        return sum(question.open for question in self.asked)

    @property
    def lines(self) -> int:
        return sum(len(question.lines) for question in self.asked)

    @property
    def marks(self) -> int:
        return sum(question.marks for question in self.asked)

    def at(self, number: str | None) -> Asked:
        """The question that an address names; what does not exist gives the nearest one."""
        wanted = int(number) if number and number.isascii() and number.isdigit() else 1
        return self.asked[min(max(wanted, 1), len(self.asked)) - 1]

    def line(self, name: str) -> Line | None:
        lines = (line for question in self.asked for line in question.lines)
        return next((line for line in lines if line.name == name), None)


def open_sheet(sheet: AnswerSheet, typed: Mapping[tuple[int, str], str] | None = None) -> OpenSheet:
    """The sheet with what was kept, or with `typed` where a field is named there. Two queries."""
    rows, more = rows_of(sheet), typed or {}
    asked = []
    for question in questions_of(sheet):
        kept = written(question, rows)
        lines = tuple(
            Line(
                question.position,
                question.question,
                field,
                more.get((question.position, field.key), kept.get(field.key, "")),
            )
            for field in question.question.fields
        )
        asked.append(Asked(question, lines))
    return OpenSheet(sheet, tuple(asked))
