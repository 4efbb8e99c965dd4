"""Answers that were given on paper: typed in by staff, kept at each step, handed in and marked.

The sheet is that of its apprentice, with who typed it in `entered_by`. While it is being entered
the apprentice does not write on it, and no clock ends it: the time was kept in the room.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.exercises import rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Answer, AnswerSheet, Paper, Question
from academy.exercises.services.keeping import (
    keep,
    locked_paper,
    mark_and_freeze,
    questions_of,
    rows_of,
)

if TYPE_CHECKING:
    from academy.exercises.services.keeping import Typed
    from academy.people.models import Person

FIRST = 1
"""Paper is printed with the numbers of the first attempt, and entered for that one alone."""


def keep_entered(*, paper: Paper, apprentice: Person, by: Person, answers: Typed) -> AnswerSheet:
    """Keep what stands on a form as a draft, begun if need be. No entry in the record yet.

    A sheet that the apprentice had begun is gone on with: what is not named here stays on it.
    """
    with transaction.atomic():
        sheet = _sheet(locked_paper(paper), apprentice, by)
        _keep(sheet, answers)
    return sheet


def hand_in_entered(*, paper: Paper, apprentice: Person, by: Person, answers: Typed) -> AnswerSheet:
    """Keep, mark and freeze it in the apprentice's name; one entry.

    Sent twice by the same person, it gives the first result.
    """
    with transaction.atomic():
        locked = locked_paper(paper)
        done = AnswerSheet.objects.filter(
            paper=locked, apprentice=apprentice, entered_by=by, submitted_at__isnull=False
        ).first()
        if done is not None:
            return done
        sheet = _sheet(locked, apprentice, by)
        _keep(sheet, answers)
        mark_and_freeze(sheet, by=by, answers={}, at=timezone.now())
    return sheet


def give_back(*, paper: Paper, apprentice: Person, by: Person) -> None:
    """Take back what was typed for the wrong person; what they wrote themselves stays theirs."""
    with transaction.atomic():
        locked = locked_paper(paper)
        entered = AnswerSheet.objects.filter(paper=locked, apprentice=apprentice)
        if not entered.filter(entered_by__isnull=False).exists():
            return
        sheet = _sheet(locked, apprentice, by)
        Answer.objects.filter(sheet=sheet, kept_at__isnull=True).delete()
        if sheet.ends_at is None and not rows_of(sheet):
            sheet.delete()
            return
        sheet.entered_by = None
        sheet.save(update_fields=["entered_by"])


def _sheet(locked: Paper, apprentice: Person, by: Person) -> AnswerSheet:
    """The open sheet, taken over or begun; `PaperError` where nothing is entered for them."""
    _check(locked, apprentice, by)
    # Locked too: the apprentice may be handing it in, or the clock, and neither locks the paper.
    rows = AnswerSheet.objects.select_for_update(of=("self",))
    sheets = list(rows.filter(paper=locked, apprentice=apprentice).order_by("-attempt"))
    sheet = sheets[0] if sheets else None
    if sheet is None:
        sheet = AnswerSheet(
            academy_id=locked.academy_id, paper=locked, apprentice=apprentice, attempt=FIRST
        )
    elif sheet.handed_in or sheet.attempt > FIRST:
        raise PaperError(
            f"{apprentice.name} has handed in this paper. What was handed in is not entered again."
        )
    sheet.paper, sheet.entered_by = locked, by
    sheet.save()
    if not questions_of(sheet):
        raise PaperError(
            f"{apprentice.name} has no questions of this paper yet. Print their paper first: it "
            "draws them."
        )
    return sheet


def _check(paper: Paper, apprentice: Person, by: Person) -> None:
    if not rules.may_enter(by, paper.academy):
        raise PaperError("Only an educator or an assessor of this academy enters paper answers.")
    if by == apprentice:
        raise PaperError("Nobody enters their own paper. Ask a colleague.")
    if paper.withdrawn:
        raise PaperError("This paper was withdrawn. Nothing is entered for it any more.")
    if not rules.may_answer(apprentice, paper):
        raise PaperError(f"{apprentice.name} has no place in {paper.cohort}, or no part in this.")


def _keep(sheet: AnswerSheet, answers: Typed) -> None:
    """Keep the texts without a time: when they were written nobody knows."""
    before = {key: row.written for key, row in rows_of(sheet).items()}
    questions: list[Question] = questions_of(sheet)
    rows = keep(sheet, questions, answers).rows
    typed = [row.pk for key, row in rows.items() if before.get(key) != row.written]
    Answer.objects.filter(pk__in=typed).update(kept_at=None)
