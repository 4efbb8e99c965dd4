"""What a marked sheet comes to, in the words of its heading."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import TYPE_CHECKING

from academy.exercises.models import Answer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.exercises.models import AnswerSheet, SheetRemark
    from academy.exercises.queries.marked import MarkedQuestion


@dataclass(frozen=True)
class Verdict:
    """The heading of a marked sheet and why. `needed` are the marks to pass."""

    title: str
    lead: str
    marks: int
    possible: int
    needed: int
    follow: int
    safe: bool
    passed: bool


def verdict_of(
    sheet: AnswerSheet, questions: Sequence[MarkedQuestion], *, named: bool = True
) -> Verdict:
    """From the marks that were stored and count now; nothing is marked again.

    Slips are named where the solution may be seen (`named`).
    """
    stands = sheet.stands
    marks, possible = int(stands.marks or 0), int(stands.possible or 0)
    share = Decimal(sheet.paper.pass_share) / 100
    needed = int((possible * share).to_integral_value(ROUND_CEILING))
    lines = [line.stands for question in questions for line in question.lines]
    follow = sum(line.marks for line in lines if line.verdict == Answer.Verdict.FOLLOW_THROUGH)
    return Verdict(
        title=_title(stands, marks, possible),
        lead=_lead(stands, questions if named else (), needed),
        marks=marks,
        possible=possible,
        needed=needed,
        follow=follow,
        safe=not stands.not_safe,
        passed=stands.passed,
    )


def _title(sheet: SheetRemark | AnswerSheet, marks: int, possible: int) -> str:
    if sheet.not_safe:
        return "Not safe: one answer would harm somebody"
    if marks == possible:
        return f"Passed. All {possible} marks"
    start = "Passed" if sheet.passed else "Not yet"
    return f"{start}. {marks} of {possible} marks"


def _lead(
    sheet: SheetRemark | AnswerSheet, questions: Sequence[MarkedQuestion], needed: int
) -> str:
    slips = list(dict.fromkeys(slip for question in questions for slip in question.slips))
    named = f"Likely {'slip' if len(slips) == 1 else 'slips'}: {', '.join(slips)}." if slips else ""
    if sheet.not_safe:
        why = "The marks do not count until every answer is safe."
        why += " It stands in red below." if questions else ""
    elif sheet.passed:
        why = ""
    else:
        why = f"{needed} are needed to pass."
    return " ".join(part for part in (why, named) if part)
