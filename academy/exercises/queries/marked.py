"""A sheet as it was marked, by the marks that count now."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import mark, solved_picture_of, worked
from academy.craft.measure import Order, Several, Spot, shown
from academy.exercises.models import Answer
from academy.exercises.queries.heads import HeadView, Point, head_views
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.sheets import Shown, figures_of, picture_shown, shown_of
from academy.exercises.queries.standing import standing_answers
from academy.exercises.services.keeping import questions_of, rows_of, written

if TYPE_CHECKING:
    from academy.craft.exercise.engine import FieldMarking, Question as Drawn, WorkedLine
    from academy.exercises.models import AnswerSheet, Question
    from academy.exercises.queries.standing import StandingAnswer

MARKS = {
    Answer.Verdict.RIGHT: "right",
    Answer.Verdict.FOLLOW_THROUGH: "follow",
    Answer.Verdict.SLIP: "wrong",
    Answer.Verdict.WRONG: "wrong",
    Answer.Verdict.UNREAD: "wrong",
    Answer.Verdict.EMPTY: "missing",
}


@dataclass(frozen=True)
class Step:
    """One step of an order as it was put; `turned` where the next belongs before it."""

    letter: str
    words: str
    turned: bool = False


@dataclass(frozen=True)
class Tick:
    """One of several choices: whether it was ticked, and whether it should have been."""

    words: str
    ticked: bool
    wanted: bool

    @property
    def mark(self) -> str:
        if self.ticked == self.wanted:
            return "right" if self.ticked else "none"
        return "wrong" if self.ticked else "missing"


@dataclass(frozen=True)
class MarkedLine:
    """One line as it is marked: the standing verdict and marks, and the sentence that helps."""

    answer: Answer
    marking: FieldMarking
    stands: StandingAnswer
    key: object

    @property
    def mark(self) -> str:
        return MARKS[Answer.Verdict(self.stands.verdict)]

    @property
    def slip(self) -> str:
        return slip_words(self.stands.mistake)

    @property
    def otherwise(self) -> bool:
        """Whether it was marked otherwise at handing in."""
        first = self.answer
        before = (first.verdict, first.mistake, int(first.marks), first.unsafe)
        now = self.stands
        return before != (now.verdict, now.mistake, now.marks, now.unsafe)

    @property
    def own(self) -> object:
        """The value that was read, None where there is none."""
        return self.marking.reading.value

    @property
    def shown(self) -> str:
        """The answer as it was read, with its unit; what could not be read, as it was typed."""
        value = self.marking.reading.value
        if value is None:
            return self.answer.written
        return self.marking.field.printed(value)

    @property
    def is_list(self) -> bool:
        """An order or several choices: its own list says what was answered."""
        return isinstance(self.key, Order | Several)

    @cached_property
    def steps(self) -> list[Step]:
        """The order that was put, where one was."""
        if not isinstance(self.own, Order) or not isinstance(self.key, Order):
            return []
        keys, place = self.own.keys, self.key.keys.index
        pairs = zip(keys, [*keys[1:], None], strict=True)
        return [
            Step(key.upper(), self._word(key), after is not None and place(key) > place(after))
            for key, after in pairs
        ]

    @cached_property
    def right_steps(self) -> list[Step]:
        """The right order, where one is asked."""
        if not isinstance(self.key, Order):
            return []
        return [Step(key.upper(), self._word(key)) for key in self.key.keys]

    @cached_property
    def ticks(self) -> list[Tick]:
        """Every choice of several, where these are asked."""
        if not isinstance(self.key, Several):
            return []
        own = self.own.keys if isinstance(self.own, Several) else ()
        return [
            Tick(choice.label, choice.key in own, choice.key in self.key.keys)
            for choice in self.marking.field.choices
        ]

    @property
    def distance_mm(self) -> str:
        """How far a place on the head lies from the right one, in whole mm."""
        if not isinstance(self.own, Spot) or not isinstance(self.key, Spot):
            return ""
        return shown(self.key.distance_mm(self.own), 0)

    def _word(self, key: str) -> str:
        return next((c.label for c in self.marking.field.choices if c.key == key), key)


@dataclass(frozen=True)
class MarkedQuestion:
    """One question of a sheet that was handed in, as it counts now."""

    row: Question
    drawn: Drawn
    lines: tuple[MarkedLine, ...]
    worked: tuple[WorkedLine, ...]

    @property
    def figures(self) -> list[tuple[str, str, str, str]]:
        return figures_of(self.drawn)

    @cached_property
    def picture(self) -> Shown | None:
        """The drawing again; where places on the head were asked, the head says more."""
        return None if self.head else picture_shown(self.drawn)

    @cached_property
    def solved(self) -> Shown | None:
        """The drawing with its answer in it."""
        picture = None if self.head else solved_picture_of(self.drawn)
        return shown_of(picture)

    @cached_property
    def head(self) -> tuple[HeadView, ...]:
        """The views of the head with own and right places, none where no place was asked."""
        spots = [line for line in self.lines if isinstance(line.key, Spot)]
        points = []
        for number, line in enumerate(spots, 1):
            name, own = line.marking.field.key, line.own
            if isinstance(own, Spot):
                kind = "own" if line.mark == "right" else "off"
                points.append(Point(f"own-{name}", str(number), own, kind))
            if isinstance(line.key, Spot) and line.mark != "right":
                points.append(Point(f"right-{name}", f"{number} right", line.key, "right"))
        return head_views(points, self.drawn.key.values()) if spots else ()

    @property
    def marks(self) -> int:
        return sum(line.stands.marks for line in self.lines)

    @property
    def possible(self) -> int:
        return sum(line.marking.possible for line in self.lines)

    @property
    def slips(self) -> list[str]:
        return list(dict.fromkeys(line.slip for line in self.lines if line.slip))

    @property
    def unsafe(self) -> bool:
        return any(line.stands.unsafe for line in self.lines)


def marked_sheet(sheet: AnswerSheet) -> list[MarkedQuestion]:
    """The marked questions by the marks that count now: nothing is marked anew. Four queries."""
    rows = rows_of(sheet)
    asked = questions_of(sheet)
    standing = standing_answers(rows.values())
    marked = []
    for question in asked:
        drawn, texts = question.question, written(question, rows)
        lines = []
        for line in mark(drawn, texts).fields:
            answer = rows[question.pk, line.field.key]
            lines.append(MarkedLine(answer, line, standing[answer.pk], drawn.key[line.field.key]))
        marked.append(MarkedQuestion(question, drawn, tuple(lines), worked(drawn, texts)))
    return marked
