"""Item statistics: what the first sheets of a cohort say about the questions of a paper.

Only first attempts count here: whoever begins again has seen the solution.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.engine import family_of
from academy.craft.exercise.statistics import (
    Separates,
    Separation,
    Share,
    median_minutes,
    minutes_taken,
    separations,
    share_of,
)
from academy.exercises.models import Question
from academy.exercises.queries.answers import answers_now
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.results import slips_in

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from academy.craft.exercise.engine import Field
    from academy.exercises.models import Paper
    from academy.exercises.queries.answers import AnswerNow
    from academy.exercises.queries.results import Slip

# A question of a paper: its place, and what is asked there. In a follow-up that differs by person.
Item = tuple[int, str, str]
# So many drawn questions are looked at for the words of their lines.
_EXAMPLES = 3


@dataclass(frozen=True)
class LineStatistics:
    """One line of a question. `slip` is its commonest, in words; empty where none was named."""

    label: str
    share: Share
    slip: str
    slips: int


@dataclass(frozen=True)
class QuestionStatistics:
    """One question. It is right on a sheet when every line earned its marks."""

    position: int
    title: str
    level: str
    share: Share
    minutes: float | None
    timed: int
    separation: Separation
    lines: tuple[LineStatistics, ...]

    @property
    def look(self) -> bool:
        return self.separation.means is Separates.LOOK


@dataclass(frozen=True)
class Statistics:
    """What the page of a paper's statistics shows. Five queries."""

    questions: list[QuestionStatistics]
    slips: list[Slip]
    sheets: int
    from_paper: int
    levels: list[str]

    @property
    def look(self) -> list[QuestionStatistics]:
        return [question for question in self.questions if question.look]

    @property
    def hardest(self) -> QuestionStatistics | None:
        """The question that the fewest had right, where enough sheets are in to say so."""
        said = [question for question in self.questions if question.share.interval]
        return min(said, key=lambda one: (one.share.percent, one.position), default=None)


def statistics_of(paper: Paper, *, level: str = "") -> Statistics:
    """Of all levels, or of the questions of one; what a question separates hangs on all of them."""
    answers = answers_now(paper, attempt=1)
    by_item: dict[Item, list[AnswerNow]] = defaultdict(list)
    for answer in answers:
        by_item[answer.position, answer.family, answer.level].append(answer)
    items = sorted(by_item)
    separated = _separated(items, answers)
    times = _times(answers)
    labels = _labels(by_item)
    chosen = [item for item in items if level in {"", item[2]}]
    sheets = {answer.sheet for answer in answers}
    return Statistics(
        questions=[
            _question(item, by_item[item], times[item], separated[item], labels) for item in chosen
        ],
        slips=slips_in(answer for item in chosen for answer in by_item[item]),
        sheets=len(sheets),
        from_paper=len({answer.sheet for answer in answers if answer.from_paper}),
        levels=sorted({item[2] for item in items}, key=["first", "working", "exam"].index),
    )


def _question(
    item: Item,
    answers: Sequence[AnswerNow],
    times: Sequence[float],
    separation: Separation,
    labels: Mapping[tuple[Item, str], str],
) -> QuestionStatistics:
    position, family, level = item
    on_sheets: dict[int, list[bool]] = defaultdict(list)
    by_field: dict[str, list[AnswerNow]] = defaultdict(list)
    for answer in answers:
        on_sheets[answer.sheet].append(answer.earned)
        by_field[answer.field].append(answer)
    return QuestionStatistics(
        position=position,
        title=family_of(family).title,
        level=level,
        share=share_of(sum(map(all, on_sheets.values())), len(on_sheets)),
        minutes=median_minutes(times),
        timed=len(times),
        separation=separation,
        lines=tuple(
            _line(labels[item, name], by_field[name])
            for at, name in labels
            if at == item and name in by_field
        ),
    )


def _line(label: str, answers: Sequence[AnswerNow]) -> LineStatistics:
    slips = Counter(answer.mistake for answer in answers if answer.mistake)
    slip, count = min(slips.items(), key=lambda one: (-one[1], one[0]), default=("", 0))
    share = share_of(sum(answer.earned for answer in answers), len(answers))
    return LineStatistics(label, share, slip_words(slip), count)


def _separated(items: Sequence[Item], answers: Iterable[AnswerNow]) -> dict[Item, Separation]:
    """Whether each question separates, from the sheets that hold all of them."""
    marks: dict[int, dict[Item, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for answer in answers:
        marks[answer.sheet][answer.position, answer.family, answer.level] += answer.marks
    whole = [row for row in marks.values() if len(row) == len(items)]
    found = separations([[row[item] for item in items] for row in whole])
    if not found:
        return {item: Separation(None, 0, Separates.TOO_FEW) for item in items}
    return dict(zip(items, found, strict=True))


def _times(answers: Iterable[AnswerNow]) -> dict[Item, list[float]]:
    """The minutes that each question took, from every sheet that was answered on the site."""
    begun: dict[int, datetime] = {}
    touched: dict[int, dict[Item, datetime]] = defaultdict(dict)
    for answer in answers:
        if answer.from_paper or answer.kept_at is None:
            continue
        item = (answer.position, answer.family, answer.level)
        begun[answer.sheet] = answer.begun
        last = touched[answer.sheet].get(item, answer.kept_at)
        touched[answer.sheet][item] = max(last, answer.kept_at)
    found: dict[Item, list[float]] = defaultdict(list)
    for sheet, when in touched.items():
        for item, minutes in minutes_taken(begun[sheet], when).items():
            found[item].append(minutes)
    return found


def _labels(by_item: Mapping[Item, Sequence[AnswerNow]]) -> dict[tuple[Item, str], str]:
    """The words of each line in the order of the question. One query.

    Where everybody has numbers of their own a label may name one ("Developer, 9 %"): then only
    what stands before the comma is common to all.
    """
    examples = {
        item: list(dict.fromkeys(answer.question for answer in answers))[:_EXAMPLES]
        for item, answers in by_item.items()
    }
    drawn = Question.objects.in_bulk({pk for found in examples.values() for pk in found})
    labels: dict[tuple[Item, str], str] = {}
    for item, found in examples.items():
        for field in (field for pk in found for field in drawn[pk].question.fields):
            at = (item, field.key)
            labels[at] = _common(labels.get(at, field.label), field)
    # A line that none of the examples asks (another form of the question) goes by its key.
    for item, answers in by_item.items():
        for answer in answers:
            labels.setdefault((item, answer.field), answer.field.replace("_", " ").capitalize())
    return labels


def _common(label: str, field: Field) -> str:
    return label if label == field.label else label.partition(",")[0]
