"""A sheet as it is answered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from academy.craft.exercise.engine import picture_of
from academy.craft.head.figures import head_figures
from academy.exercises.crib import Crib, crib
from academy.exercises.queries.heads import HeadView, Point, head_symbols, head_views
from academy.exercises.queries.lines import PICKED, Line
from academy.exercises.services.keeping import questions_of, rows_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.exercise.engine import Picture, Question as Drawn
    from academy.exercises.models import Answer, AnswerSheet, Question
    from academy.exercises.services.keeping import At


def figures_of(question: Drawn) -> list[tuple[str, str, str, str]]:
    """The givens of a question as parts/figures.html takes them."""
    return [(given.label, given.value, given.unit, "") for given in question.givens]


@dataclass(frozen=True)
class Shown:
    """The picture of a question: safe markup, and what it shows in words."""

    svg: SafeString
    words: str


def picture_shown(question: Drawn) -> Shown | None:
    """The drawing of a question, None where it has none."""
    return shown_of(picture_of(question))


def shown_of(picture: Picture | None) -> Shown | None:
    """A drawing ready for a page."""
    if picture is None:
        return None
    return Shown(mark_safe(picture.svg), picture.words)  # noqa: S308  (our own drawing)


@dataclass(frozen=True)
class Lined:
    """One question with its lines in the order of the paper."""

    row: Question
    lines: tuple[Line, ...]

    @property
    def position(self) -> int:
        return self.row.position

    @property
    def drawn(self) -> Drawn:
        return self.row.question

    @property
    def title(self) -> str:
        return self.drawn.title


@dataclass(frozen=True)
class Asked(Lined):
    """One question on the page where it is answered."""

    @property
    def figures(self) -> list[tuple[str, str, str, str]]:
        """The givens as parts/figures.html takes them."""
        return figures_of(self.drawn)

    @cached_property
    def picture(self) -> Shown | None:
        """The drawing of the question; a head on which places are put is drawn for that."""
        return None if self.spots else picture_shown(self.drawn)

    @property
    def bare(self) -> bool:
        """Whether the head is without borders and words, as its picture is in print."""
        picture = picture_of(self.drawn)
        return picture is not None and "hd-bare" in picture.svg

    @property
    def crib(self) -> Crib:
        """The givens for the first open line."""
        first_open = (line.field.key for line in self.lines if line.is_open)
        return crib(self.drawn, next(first_open, ""))

    @cached_property
    def cribs(self) -> list[tuple[Line, str]]:
        """Each line with the places of the givens that it needs, for the script: "0 3 2"."""
        if not self.crib.all:
            return [(line, "") for line in self.lines]
        every = self.crib.all
        return [
            (line, " ".join(str(every.index(one)) for one in crib(self.drawn, line.field.key).now))
            for line in self.lines
        ]

    @cached_property
    def spots(self) -> list[tuple[int, Line]]:
        """The lines that ask for a place on the head, counted from 1."""
        return list(enumerate((line for line in self.lines if line.field.widget == "spot"), 1))

    @cached_property
    def head(self) -> tuple[HeadView, ...]:
        """The views of the head, none where no place is asked."""
        points = [Point(line.name, str(number), line.spot) for number, line in self.spots]
        return head_views(points, self.drawn.key.values()) if points else ()

    @property
    def head_figures(self) -> str:
        return head_figures()

    @property
    def has_figures(self) -> bool:
        """Whether anything is to be typed, not only chosen."""
        return any(line.field.widget not in PICKED for line in self.lines)

    @property
    def open_lines(self) -> list[Line]:
        return [line for line in self.lines if line.is_open]

    @property
    def open(self) -> int:
        return len(self.open_lines)

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

    @property
    def has_head(self) -> bool:
        return any(question.spots for question in self.asked)

    @property
    def symbols(self) -> SafeString:
        """The bare views of the head, for `<use>`."""
        return head_symbols()

    @property
    def has_order(self) -> bool:
        return any(
            line.field.widget == "order" for question in self.asked for line in question.lines
        )

    @property
    def seconds_left(self) -> int | None:
        """Of a test that is timed; never below zero."""
        if self.sheet.ends_at is None:
            return None
        return max(0, int((self.sheet.ends_at - timezone.now()).total_seconds()))

    def at(self, number: str | None) -> Asked:
        """The question that an address names; what does not exist gives the nearest one."""
        place = number or ""
        wanted = int(place) if place.isascii() and place.isdigit() and len(place) < 4 else 1
        return self.asked[min(max(wanted, 1), len(self.asked)) - 1]

    def line(self, name: str) -> Line | None:
        lines = (line for question in self.asked for line in question.lines)
        return next((line for line in lines if line.name == name), None)


def open_sheet(
    sheet: AnswerSheet,
    typed: Mapping[At, str] | None = None,
    stale: Mapping[At, Answer] | None = None,
) -> OpenSheet:
    """The sheet with what was kept, or with `typed` where a field is named there. Three queries.

    `stale` are the answers that stand where a text of `typed` came too late.
    """
    rows, more, late = rows_of(sheet), typed or {}, stale or {}
    asked = []
    for question in questions_of(sheet):
        lines = []
        for field in question.question.fields:
            at, row = (question.position, field.key), rows.get((question.pk, field.key))
            text = more.get(at, row.written if row else "")
            lines.append(Line(question.position, question.question, field, text, row, late.get(at)))
        asked.append(Asked(question, tuple(lines)))
    return OpenSheet(sheet, tuple(asked))
