"""Item statistics over all papers of an academy: what of each exercise is missed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db.models import Count, Max, Q

from academy.craft.exercise.engine import Level, family_of
from academy.exercises.models import Answer, Question
from academy.exercises.queries.answers import EARNED
from academy.exercises.queries.lists import slip_words
from academy.exercises.queries.results import Slip, sentence_of
from academy.exercises.queries.standing import answers_with_marks_now, counting

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from academy.people.models import Academy, Cohort

LEVELS = [str(level) for level in Level]


@dataclass(frozen=True)
class FamilyRow:
    """One exercise at one level: lines that earned their marks, on so many sheets.

    The lines of a sheet hang together, so no interval is given for their share.
    """

    key: str
    title: str
    level: str
    earned: int
    lines: int
    sheets: int

    @property
    def percent(self) -> int:
        return 100 * self.earned // self.lines if self.lines else 0


@dataclass(frozen=True)
class AllPapers:
    """The exercises, the hardest first, and the named slips, the commonest first."""

    rows: list[FamilyRow]
    slips: list[Slip]


def all_papers(
    academy: Academy, *, cohort: Cohort | None = None, level: str = "", family: str = ""
) -> AllPapers:
    """First sheets of all papers, of a cohort, a level, an exercise. Four queries."""
    answers = _answers(academy, cohort, level, family)
    counted = (
        answers.values("question__family", "question__level")
        .annotate(
            earned=Count("pk", filter=Q(verdict_now__in=EARNED)),
            lines=Count("pk"),
            sheets=Count("sheet", distinct=True),
        )
        .order_by()
    )
    rows = [
        FamilyRow(
            row["question__family"],
            family_of(row["question__family"]).title,
            row["question__level"],
            row["earned"],
            row["lines"],
            row["sheets"],
        )
        for row in counted
    ]
    rows.sort(key=lambda row: (row.percent, row.title, LEVELS.index(row.level)))
    return AllPapers(rows, _slips(answers))


def _answers(
    academy: Academy, cohort: Cohort | None, level: str, family: str
) -> QuerySet[Answer, Answer]:
    """The lines, with `verdict_now` and `mistake_now`: the newest mark of each."""
    answers = Answer.objects.filter(
        sheet__academy=academy, sheet__submitted_at__isnull=False, sheet__attempt=1
    )
    if cohort is not None:
        answers = answers.filter(sheet__paper__cohort=cohort)
    if level:
        answers = answers.filter(question__level=level)
    if family:
        answers = answers.filter(question__family=family)
    return answers_with_marks_now(answers)


def _slips(answers: QuerySet[Any, Any]) -> list[Slip]:
    counted = list(
        answers.exclude(mistake_now="")
        .values("question__family", "mistake_now")
        .annotate(
            count=Count("sheet", distinct=True),
            people=Count("sheet__apprentice", distinct=True),
            example=Max("question"),
        )
        .order_by("-count", "question__family", "mistake_now")
    )
    examples = Question.objects.filter(pk__in={row["example"] for row in counted})
    drawn = {row.pk: row for row in counting(examples)}
    most = max((row["count"] for row in counted), default=1)
    return [
        Slip(
            words=slip_words(row["mistake_now"]),
            family=family_of(row["question__family"]).title,
            sentence=sentence_of(drawn[row["example"]], row["mistake_now"]),
            count=row["count"],
            people=row["people"],
            width=100 * row["count"] // most,
        )
        for row in counted
    ]
