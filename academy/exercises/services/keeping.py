"""What stands on a sheet: its questions, what is kept of the answers, marking and freezing.

Who may do it, and whether there is time left, is asked before (`sheets`, `timed`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field as dataclass_field
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.audit.services import record
from academy.craft.exercise.engine import mark, paper_total
from academy.exercises.models import Answer, AnswerSheet, Paper, Question
from academy.exercises.queries.standing import counting
from academy.exercises.services.arriving import Came, Fate, fate, kept_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from academy.craft.exercise.engine import Marking
    from academy.people.models import Person

LONGEST_WRITTEN = 500

# A field: the question's position on the paper and the key of the field.
At = tuple[int, str]
Typed = Mapping[At, str]
# What is kept, by the question's id and the key of the field.
Rows = dict[tuple[int, str], Answer]


@dataclass
class Kept:
    """All that is kept now, and what stands where a text came too late to take its place."""

    rows: Rows
    stale: dict[At, Answer] = dataclass_field(default_factory=dict)


def questions_of(sheet: AnswerSheet) -> list[Question]:
    """The questions of a sheet in their order, as they count now. Two queries."""
    shared = sheet.paper.same_numbers and sheet.attempt == 1
    owner = None if shared else sheet.apprentice_id
    asked = Question.objects.filter(
        paper=sheet.paper_id,
        edition=sheet.paper.edition,
        apprentice=owner,
        attempt=sheet.attempt,
    )
    return counting(asked.order_by("position"))


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


def locked_paper(paper: Paper) -> Paper:
    """As it is stored now: somebody may have changed or closed it since it was shown."""
    rows = Paper.objects.select_for_update(of=("self",))
    return rows.select_related("academy", "cohort").get(pk=paper.pk)


def locked_sheet(sheet: AnswerSheet) -> AnswerSheet:
    """The sheet as it is stored now, kept from others until the transaction ends."""
    rows = AnswerSheet.objects.select_for_update(of=("self",))
    return rows.select_related("paper__academy", "paper__cohort").get(pk=sheet.pk)


def keep(
    sheet: AnswerSheet,
    questions: Sequence[Question],
    answers: Typed,
    came: Mapping[At, Came] | None = None,
) -> Kept:
    """Keep what was typed in the fields that the sheet asks, but for texts that come too late."""
    kept, now, ways = Kept(rows_of(sheet)), timezone.now(), came or {}
    fresh: list[Answer] = []
    changed: list[Answer] = []
    for question in questions:
        for field in question.question.fields:
            at = (question.position, field.key)
            if at not in answers:
                continue
            text, way = _clean(answers[at]), ways.get(at, Came())
            row = kept.rows.get((question.pk, field.key))
            becomes = fate(row, text, way)
            if row is not None and becomes is Fate.STALE:
                kept.stale[at] = row
            if becomes is not Fate.KEPT:
                continue
            if row is None:
                row = Answer(sheet=sheet, question=question, field=field.key)
                kept.rows[question.pk, field.key] = row
                fresh.append(row)
            else:
                changed.append(row)
            row.written, row.kept_at = text, kept_at(row, way, now)
    Answer.objects.bulk_create(fresh)
    Answer.objects.bulk_update(changed, ["written", "kept_at"])
    return kept


def mark_and_freeze(
    locked: AnswerSheet, *, by: Person | None, answers: Typed, at: datetime
) -> None:
    """Keep, mark every line and freeze a locked sheet; one entry. `by` is None where time ended."""
    questions = questions_of(locked)
    rows = keep(locked, questions, answers).rows
    markings = [mark(question.question, written(question, rows)) for question in questions]
    _store(locked, questions, markings, rows)
    total = paper_total(markings)
    locked.marks, locked.possible = total.marks, total.possible
    locked.not_safe = total.not_safe
    locked.passed = total.passed(Decimal(locked.paper.pass_share))
    locked.submitted_at = at
    locked.save()
    record(
        academy_id=locked.academy_id,
        actor_id=by.pk if by else None,
        action=f"exercises.answersheet.{_ended(locked, by)}",
        subject=locked,
        details={
            "apprentice": locked.apprentice_id,
            "paper": locked.paper_id,
            "attempt": locked.attempt,
            "marks": total.marks,
            "possible": total.possible,
            "not_safe": total.not_safe,
            "passed": locked.passed,
        },
    )


def _ended(sheet: AnswerSheet, by: Person | None) -> str:
    if by is None:
        return "time_up"
    return "handed_in" if sheet.entered_by_id is None else "entered"


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
