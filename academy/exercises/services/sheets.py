"""Answering a paper: begin, keep what is typed, hand in and be marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.exercises import drawing, rules
from academy.exercises.errors import PaperError
from academy.exercises.models import AnswerSheet, Paper, Question
from academy.exercises.services.keeping import (
    Typed,
    keep,
    locked_paper,
    locked_sheet,
    mark_and_freeze,
    questions_of,
)
from academy.exercises.services.timed import TIME_IS_UP, end_if_over, end_later, end_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.exercises.models import Answer
    from academy.exercises.services.arriving import Came
    from academy.exercises.services.keeping import At
    from academy.people.models import Person


def start_sheet(*, paper: Paper, apprentice: Person) -> AnswerSheet:
    """Begin a paper, or go on with the sheet that is open; it comes handed in if its time is up.

    A practice paper may be begun again once it is handed in: the marked sheet showed the right
    figures, so every further attempt is drawn anew, for this apprentice alone.
    """
    with transaction.atomic():
        locked = locked_paper(paper)
        _check_open(locked, apprentice)
        sheets = list(AnswerSheet.objects.filter(paper=locked, apprentice=apprentice))
        for sheet in sheets:
            if not sheet.handed_in:
                return end_if_over(sheet)
        if sheets and not locked.repeats:
            raise PaperError("This is a test, and you have handed it in. It is answered once.")
        now = timezone.now()
        if locked.is_closed(now):
            raise PaperError("This test is closed: nobody begins it any more. Ask your educator.")
        attempt = max((sheet.attempt for sheet in sheets), default=0) + 1
        _draw_missing(locked, apprentice, attempt)
        sheet = AnswerSheet.objects.create(
            academy_id=locked.academy_id,
            paper=locked,
            apprentice=apprentice,
            attempt=attempt,
            started_at=now,
            ends_at=end_of(locked, now),
        )
        end_later(sheet)
        record(
            academy_id=locked.academy_id,
            actor_id=apprentice.pk,
            action="exercises.answersheet.started",
            subject=sheet,
            details={"apprentice": apprentice.pk, "paper": locked.pk, "attempt": attempt},
        )
    return sheet


def keep_answers(
    *, sheet: AnswerSheet, by: Person, answers: Typed, came: Mapping[At, Came] | None = None
) -> dict[At, Answer]:
    """Keep what stands in the fields, as it was typed. A draft: no entry in the record.

    Fields that the sheet does not ask are passed over; fields that are not named stay. A text
    that came too late (`came`) is not kept: the answer is what stands there instead. Where the
    time is up the sheet is handed in with what was kept before, and `PaperError` says so.
    """
    with transaction.atomic():
        locked = locked_sheet(sheet)
        _check_writing(locked, by)
        if not rules.is_over(locked, timezone.now()):
            return keep(locked, questions_of(locked), answers, came).stale
        end_if_over(locked)
    raise PaperError(TIME_IS_UP)


def hand_in(*, sheet: AnswerSheet, by: Person, answers: Typed | None = None) -> AnswerSheet:
    """Mark every line and freeze the sheet. Handing it in twice gives the first result.

    `answers` are kept first, as `keep_answers` does, unless the time is up.
    """
    with transaction.atomic():
        locked = locked_sheet(sheet)
        if locked.handed_in and locked.apprentice_id == by.pk:
            return locked
        _check_writing(locked, by)
        now = timezone.now()
        if rules.is_over(locked, now):
            return end_if_over(locked)
        mark_and_freeze(locked, by=by, answers=answers or {}, at=now)
    return locked


def _check_open(paper: Paper, apprentice: Person) -> None:
    if paper.withdrawn:
        raise PaperError(
            "This paper was withdrawn. What was handed in before stays; ask your educator what "
            "to do instead."
        )
    if not rules.may_answer(apprentice, paper):
        raise PaperError(
            f"Only apprentices with a place in {paper.cohort} answer this paper. Ask your educator."
        )


def _check_writing(sheet: AnswerSheet, by: Person) -> None:
    if sheet.handed_in:
        raise PaperError("This sheet is handed in and marked. Nothing on it changes any more.")
    if sheet.entered_by_id is not None and sheet.apprentice_id == by.pk:
        raise PaperError(
            "Your answers are being entered from your paper. You see the marks when that is done."
        )
    if not rules.may_write_on(by, sheet):
        raise PaperError("Only the apprentice whose sheet it is writes on it.")
    _check_open(sheet.paper, by)


def _draw_missing(paper: Paper, apprentice: Person, attempt: int) -> None:
    """Draw for one who joined late or tries again; who has questions already keeps them."""
    if paper.same_numbers and attempt == 1:
        return
    own = Question.objects.filter(
        paper=paper, edition=paper.edition, apprentice=apprentice, attempt=attempt
    )
    if not own.exists():
        Question.objects.bulk_create(drawing.draw_each(paper, [apprentice.pk], attempt))
