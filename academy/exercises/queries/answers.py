"""The lines of all handed-in sheets of a paper as they are marked now, small and fast to read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.exercises.models import Answer, AnswerRemark

if TYPE_CHECKING:
    from datetime import datetime
    from decimal import Decimal

    from academy.exercises.models import Paper

EARNED = frozenset({Answer.Verdict.RIGHT.value, Answer.Verdict.FOLLOW_THROUGH.value})


@dataclass(frozen=True, slots=True)
class AnswerNow:
    """One line of one sheet: where it stands, by whom, and what it came to.

    `from_paper` says that staff typed it in: then its times say nothing.
    """

    sheet: int
    person: int
    attempt: int
    begun: datetime
    from_paper: bool
    question: int
    position: int
    family: str
    level: str
    field: str
    verdict: str
    mistake: str
    marks: Decimal
    kept_at: datetime | None

    @property
    def earned(self) -> bool:
        return self.verdict in EARNED


def answers_now(paper: Paper, *, attempt: int | None = None) -> list[AnswerNow]:
    """The lines of the handed-in sheets, the oldest sheet first, or of one attempt. Two queries."""
    answers = Answer.objects.filter(sheet__paper=paper, sheet__submitted_at__isnull=False)
    remarks = AnswerRemark.objects.filter(answer__sheet__paper=paper)
    if attempt is not None:
        answers = answers.filter(sheet__attempt=attempt)
    again = {
        answer: (verdict, mistake, marks)
        for answer, verdict, mistake, marks in remarks.order_by("pk").values_list(
            "answer", "verdict", "mistake", "marks"
        )
    }
    rows = answers.order_by("sheet__submitted_at", "pk").values_list(
        "pk",
        "sheet",
        "sheet__apprentice",
        "sheet__attempt",
        "sheet__started_at",
        "sheet__entered_by",
        "question",
        "question__position",
        "question__family",
        "question__level",
        "field",
        "verdict",
        "mistake",
        "marks",
        "kept_at",
    )
    return [
        AnswerNow(
            sheet=sheet,
            person=person,
            attempt=number,
            begun=begun,
            from_paper=typed_by is not None,
            question=question,
            position=position,
            family=family,
            level=level,
            field=field,
            verdict=now[0],
            mistake=now[1],
            marks=now[2],
            kept_at=kept,
        )
        for (
            pk,
            sheet,
            person,
            number,
            begun,
            typed_by,
            question,
            position,
            family,
            level,
            field,
            verdict,
            mistake,
            marks,
            kept,
        ) in rows
        for now in [again.get(pk, (verdict, mistake, marks))]
    ]
