"""What counts now: the marks given at handing in, or those given again since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import OuterRef, Q, Subquery

from academy.exercises.models import AnswerRemark, CorrectedQuestion, SheetRemark

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from academy.craft.exercise.engine import FieldMarking, Question as Drawn
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


def corrections_of(questions: Mapping[int, Question]) -> dict[int, Drawn]:
    """Each question as it counts now: as it was drawn, or as it was last corrected. One query."""
    now = {pk: row.question for pk, row in questions.items()}
    rows = CorrectedQuestion.objects.filter(question__in=questions).order_by("pk")
    for row in rows:
        now[row.question_id] = row.corrected
    return now


def passed_now(sheets: AnswerSheetQuerySet) -> AnswerSheetQuerySet:
    """Of some sheets those that are passed by the marks that count now."""
    newest = SheetRemark.objects.filter(sheet=OuterRef("pk")).order_by("-pk").values("passed")[:1]
    return sheets.alias(passed_again=Subquery(newest)).filter(
        Q(passed_again=True) | Q(passed_again__isnull=True, passed=True)
    )


def _standing(row: Answer | AnswerRemark) -> StandingAnswer:
    return StandingAnswer(row.verdict, row.mistake, int(row.marks), row.unsafe)
