"""What counts now: the marks given at handing in, or those given again since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db.models import Case, F, OuterRef, Q, Subquery, Value, When
from django.db.models.functions import Coalesce

from academy.exercises.models import AnswerRemark, CorrectedQuestion, SheetRemark

if TYPE_CHECKING:
    from collections.abc import Iterable

    from django.db.models import QuerySet

    from academy.craft.exercise.engine import FieldMarking
    from academy.exercises.models import Answer, Question
    from academy.exercises.models.sheets import AnswerSheetQuerySet


@dataclass(frozen=True)
class StandingAnswer:
    """How an answer is marked now."""

    verdict: str
    mistake: str
    marks: int
    unsafe: bool

    def says(self, line: FieldMarking) -> bool:
        """Whether a marking comes to the same."""
        return self == StandingAnswer(line.verdict.value, line.mistake, line.marks, line.unsafe)


def standing_answers(answers: Iterable[Answer]) -> dict[int, StandingAnswer]:
    """By the id of the answer: the newest mark of each. One query."""
    rows = {answer.pk: answer for answer in answers}
    standing = {pk: _standing(row) for pk, row in rows.items()}
    remarks = AnswerRemark.objects.filter(answer__sheet__in={row.sheet_id for row in rows.values()})
    for remark in remarks.order_by("pk"):
        if remark.answer_id in standing:
            standing[remark.answer_id] = _standing(remark)
    return standing


def answers_with_marks_now(answers: QuerySet[Answer, Answer]) -> QuerySet[Any, Any]:
    """With `verdict_now` and `mistake_now`, the newest mark of each; no query of its own.

    Typed as rows of any kind: these columns are no fields of an answer.
    """
    again = AnswerRemark.objects.filter(answer=OuterRef("pk")).order_by("-pk")
    return answers.annotate(
        again=Subquery(again.values("verdict")[:1]),
        verdict_now=Coalesce(F("again"), F("verdict")),
        # A mark given again may name no slip any more, and that is not the same as no mark.
        mistake_now=Case(
            When(again__isnull=True, then=F("mistake")),
            default=Coalesce(Subquery(again.values("mistake")[:1]), Value("")),
        ),
    )


def counting(rows: Iterable[Question]) -> list[Question]:
    """The rows, each with its question as it counts now: corrected where it was. One query."""
    found = list(rows)
    last = {
        row.question_id: row
        for row in CorrectedQuestion.objects.filter(question__in=found).order_by("pk")
    }
    for row in found:
        if row.pk in last:
            row.question = last[row.pk].corrected
    return found


def passed_now(sheets: AnswerSheetQuerySet) -> AnswerSheetQuerySet:
    """Of some sheets those that are passed by the marks that count now."""
    newest = SheetRemark.objects.filter(sheet=OuterRef("pk")).order_by("-pk").values("passed")[:1]
    return sheets.alias(passed_again=Subquery(newest)).filter(
        Q(passed_again=True) | Q(passed_again__isnull=True, passed=True)
    )


def _standing(row: Answer | AnswerRemark) -> StandingAnswer:
    return StandingAnswer(row.verdict, row.mistake, int(row.marks), row.unsafe)
