"""Answering a paper: begin, keep what is typed, hand in and be marked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.craft.exercise.engine import mark, paper_total
from academy.exercises import drawing, rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Answer, AnswerSheet, Paper, Question

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.craft.exercise.engine import Marking
    from academy.people.models import Person

LONGEST_WRITTEN = 500

# What was typed, by the question's position on the paper and the key of the field.
Typed = Mapping[tuple[int, str], str]
Rows = dict[tuple[int, str], Answer]


def start_sheet(*, paper: Paper, apprentice: Person) -> AnswerSheet:
    """Begin a paper, or go on with the sheet that is open.

    A practice paper may be begun again once it is handed in: the marked sheet showed the right
    figures, so every further attempt is drawn anew, for this apprentice alone.
    """
    _check_open(paper, apprentice)
    with transaction.atomic():
        Paper.objects.select_for_update().get(pk=paper.pk)
        sheets = list(AnswerSheet.objects.filter(paper=paper, apprentice=apprentice))
        for sheet in sheets:
            if not sheet.handed_in:
                return sheet
        if sheets and not paper.repeats:
            raise PaperError("This is a test, and you have handed it in. It is answered once.")
        attempt = max((sheet.attempt for sheet in sheets), default=0) + 1
        _draw_missing(paper, apprentice, attempt)
        sheet = AnswerSheet.objects.create(
            academy_id=paper.academy_id, paper=paper, apprentice=apprentice, attempt=attempt
        )
        record(
            academy_id=paper.academy_id,
            actor_id=apprentice.pk,
            action="exercises.answersheet.started",
            subject=sheet,
            details={"apprentice": apprentice.pk, "paper": paper.pk, "attempt": attempt},
        )
    return sheet


def keep_answers(*, sheet: AnswerSheet, by: Person, answers: Typed) -> None:
    """Keep what stands in the fields, as it was typed. A draft: no entry in the record.

    Fields that the sheet does not ask are passed over; fields that are not named stay.
    """
    with transaction.atomic():
        locked = _locked(sheet)
        _check_writing(locked, by)
        _keep(locked, questions_of(locked), answers)


def hand_in(*, sheet: AnswerSheet, by: Person, answers: Typed | None = None) -> AnswerSheet:
    """Mark every line and freeze the sheet. Handing it in twice gives the first result.

    `answers` are kept first, as `keep_answers` does.
    """
    with transaction.atomic():
        locked = _locked(sheet)
        if locked.handed_in and locked.apprentice_id == by.pk:
            return locked
        _check_writing(locked, by)
        questions = questions_of(locked)
        rows = _keep(locked, questions, answers or {})
        markings = [mark(q.question, written(q, rows)) for q in questions]
        _store(locked, questions, markings, rows)
        total = paper_total(markings)
        locked.marks, locked.possible = total.marks, total.possible
        locked.not_safe = total.not_safe
        locked.passed = total.passed(Decimal(locked.paper.pass_share))
        locked.submitted_at = timezone.now()
        locked.save()
        record(
            academy_id=locked.academy_id,
            actor_id=by.pk,
            action="exercises.answersheet.handed_in",
            subject=locked,
            details={
                "apprentice": by.pk,
                "paper": locked.paper_id,
                "attempt": locked.attempt,
                "marks": total.marks,
                "possible": total.possible,
                "not_safe": total.not_safe,
                "passed": locked.passed,
            },
        )
    return locked


def questions_of(sheet: AnswerSheet) -> list[Question]:
    """The questions of a sheet in their order. One query."""
    shared = sheet.paper.same_numbers and sheet.attempt == 1
    owner = None if shared else sheet.apprentice_id
    return list(
        Question.objects.filter(
            paper=sheet.paper_id, apprentice=owner, attempt=sheet.attempt
        ).order_by("position")
    )


def written(question: Question, rows: Rows) -> dict[str, str]:
    """What stands in the fields of one question, by field key."""
    return {
        field.key: rows[question.pk, field.key].written
        for field in question.question.fields
        if (question.pk, field.key) in rows
    }


def rows_of(sheet: AnswerSheet) -> Rows:
    """The answers of a sheet by question id and field key. One query."""
    return {(row.question_id, row.field): row for row in Answer.objects.filter(sheet=sheet)}


def _locked(sheet: AnswerSheet) -> AnswerSheet:
    rows = AnswerSheet.objects.select_for_update(of=("self",))
    return rows.select_related("paper__academy", "paper__cohort").get(pk=sheet.pk)


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
    if not rules.may_write_on(by, sheet):
        raise PaperError("Only the apprentice whose sheet it is writes on it.")
    _check_open(sheet.paper, by)


def _draw_missing(paper: Paper, apprentice: Person, attempt: int) -> None:
    """Draw for one who joined late or tries again; who has questions already keeps them."""
    if paper.same_numbers and attempt == 1:
        return
    own = Question.objects.filter(paper=paper, apprentice=apprentice, attempt=attempt)
    if not own.exists():
        Question.objects.bulk_create(drawing.draw_sheet(paper, apprentice.pk, attempt))


def _keep(sheet: AnswerSheet, questions: Sequence[Question], answers: Typed) -> Rows:
    rows = rows_of(sheet)
    fresh: list[Answer] = []
    changed: list[Answer] = []
    for question in questions:
        for field in question.question.fields:
            text = answers.get((question.position, field.key))
            if text is None:
                continue
            kept = _clean(text)
            row = rows.get((question.pk, field.key))
            if row is None:
                row = Answer(sheet=sheet, question=question, field=field.key)
                rows[question.pk, field.key] = row
                fresh.append(row)
            elif row.written != kept:
                changed.append(row)
            row.written = kept
    Answer.objects.bulk_create(fresh)
    Answer.objects.bulk_update(changed, ["written"])
    return rows


def _clean(text: str) -> str:
    """What can be kept of a text: no null signs, at most 500 characters, typed spaces stay."""
    return text.replace("\x00", "")[:LONGEST_WRITTEN]


def _store(
    sheet: AnswerSheet, questions: Iterable[Question], markings: Iterable[Marking], rows: Rows
) -> None:
    todo: dict[bool, list[Answer]] = defaultdict(list)
    for question, marking in zip(questions, markings, strict=True):
        for line in marking.fields:
            row = rows.get((question.pk, line.field.key)) or Answer(
                sheet=sheet, question=question, field=line.field.key
            )
            row.verdict = line.verdict.value
            row.mistake = line.mistake
            row.marks = line.marks
            row.unsafe = line.unsafe
            row.read_as = line.reading.sentence[:80] if line.reading.understood else ""
            todo[row._state.adding].append(row)
    Answer.objects.bulk_create(todo[True])
    Answer.objects.bulk_update(
        todo[False], ["verdict", "mistake", "marks", "unsafe", "read_as"], batch_size=100
    )
