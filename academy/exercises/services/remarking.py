"""Marking a paper again after its rules were corrected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.audit.services import record
from academy.curriculum.house import current_rule_set, rules_of
from academy.exercises.errors import PaperError
from academy.exercises.models import (
    AnswerRemark,
    AnswerSheet,
    CorrectedQuestion,
    Paper,
    PaperPrint,
    Remarking,
    SheetRemark,
)
from academy.exercises.remarking import remarked
from academy.exercises.services.wanted import require_educator

if TYPE_CHECKING:
    from academy.exercises.remarking import SheetChange
    from academy.people.models import Person

LONGEST_REASON = 500
OTHER_KEY = "The paper was marked again since: its key is another. Ask for it again."


def remark_paper(*, paper: Paper, by: Person, reason: str, seen: int | None = None) -> Remarking:
    """Mark every handed-in sheet again under the house rules of today.

    The marks given before stay; the new ones are rows of their own and count from now on. What
    is handed in or drawn for this paper later goes by the corrected rules as well.
    `seen` is the number of the rule set that the preview showed: `PaperError` where the rules
    have been changed since, where nothing would change, or without a reason.
    """
    require_educator(paper.academy, by)
    reason = reason.strip()
    if not reason:
        raise PaperError("Say what was wrong. The apprentices read it.", field="reason")
    if len(reason) > LONGEST_REASON:
        raise PaperError(f"Shorten the reason to {LONGEST_REASON} characters.", field="reason")
    with transaction.atomic():
        locked = Paper.objects.select_for_update().get(pk=paper.pk)
        _wait_for_sheets(locked)
        rule_set = current_rule_set(paper.academy)
        number = rule_set.number if rule_set else 0
        if seen is not None and seen != number:
            raise PaperError("The house rules were changed meanwhile. Look at the marks again.")
        found = remarked(locked, rules_of(rule_set))
        if not found.changes and not found.corrected:
            raise PaperError("Under the rules of today every sheet comes to the same marks.")
        row = Remarking.objects.create(paper=locked, rule_set=rule_set, by=by, reason=reason)
        CorrectedQuestion.objects.bulk_create(
            CorrectedQuestion(remarking=row, question_id=pk, drawn=drawn.to_data())
            for pk, drawn in found.corrected.items()
        )
        for change in found.changes:
            _store(row, change)
        locked.prints.exclude(what=PaperPrint.What.PAPERS).update(trouble=OTHER_KEY)
        record(
            academy_id=locked.academy_id,
            actor_id=by.pk,
            action="exercises.paper.marked_again",
            subject=locked,
            details={
                "remarking": row.pk,
                "rule_set": number,
                "sheets": len(found.changes),
                "changed": [change.sheet.pk for change in found.marks],
            },
        )
    return row


def _wait_for_sheets(paper: Paper) -> None:
    """Let whoever is handing in finish; who hands in after this is marked by what is corrected."""
    list(AnswerSheet.objects.select_for_update(of=("self",)).filter(paper=paper).order_by("pk"))


def _store(row: Remarking, change: SheetChange) -> None:
    remark = SheetRemark.objects.create(
        remarking=row,
        sheet=change.sheet,
        marks=change.after.marks,
        possible=change.after.possible,
        not_safe=change.after.not_safe,
        passed=change.passed,
    )
    AnswerRemark.objects.bulk_create(
        AnswerRemark(
            remark=remark,
            answer=line.answer,
            verdict=line.after.verdict.value,
            mistake=line.after.mistake,
            marks=line.after.marks,
            unsafe=line.after.unsafe,
        )
        for line in change.lines
    )
