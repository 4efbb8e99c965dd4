"""Beginning, keeping, handing in: the services behind the answer page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.craft.exercise.engine import mark, paper_total
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.models import Answer, AnswerSheet, Paper, Question
from academy.exercises.services.keeping import questions_of, rows_of, written
from academy.people.models import Cohort, Person, Role
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper, right_answers
from tests.site.factories import CohortPlaceFactory


def test_beginning_twice_gives_the_open_sheet(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper()
    first, second = (services.start_sheet(paper=paper, apprentice=learner) for _ in range(2))
    assert first == second
    assert Entry.objects.filter(action="exercises.answersheet.started").count() == 1


def test_who_joins_later_gets_questions_when_beginning(
    make_member: Callable[..., Person], cohort: Cohort, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    late = make_member(Role.APPRENTICE)
    CohortPlaceFactory(cohort=cohort, person=late)
    sheet = services.start_sheet(paper=paper, apprentice=late)
    assert [row.apprentice for row in questions_of(sheet)] == [late, late]


def test_what_was_drawn_before_is_not_drawn_again(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper()
    before = list(Question.objects.values_list("pk", flat=True))
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    assert [row.pk for row in questions_of(sheet)] == before


@pytest.mark.parametrize("same_numbers", [True, False])
def test_a_practice_paper_is_tried_again_on_new_numbers(
    same_numbers: bool, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[WHITE], same_numbers=same_numbers)
    first = services.start_sheet(paper=paper, apprentice=learner)
    services.hand_in(sheet=first, by=learner)
    second = services.start_sheet(paper=paper, apprentice=learner)
    assert second.attempt == 2
    one, other = (questions_of(sheet)[0].identity for sheet in (first, second))
    assert one != other


def test_a_test_is_answered_once(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper(kind=Paper.Kind.TEST)
    services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=learner), by=learner)
    with pytest.raises(PaperError, match="answered once"):
        services.start_sheet(paper=paper, apprentice=learner)


def test_only_apprentices_of_the_cohort_begin(
    make_member: Callable[..., Person], educator: Person, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper()
    for person in (make_member(Role.APPRENTICE), educator):
        with pytest.raises(PaperError, match="place in Cohort 7"):
            services.start_sheet(paper=paper, apprentice=person)


def test_what_was_typed_is_kept_as_it_was_typed(sheet: AnswerSheet, learner: Person) -> None:
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): " 1,5 g"})
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "neutral"): "30g"})
    kept = dict(Answer.objects.filter(sheet=sheet).values_list("field", "written"))
    assert kept == {"stock": " 1,5 g", "neutral": "30g"}


def test_keeping_writes_no_entry(sheet: AnswerSheet, learner: Person) -> None:
    before = Entry.objects.count()
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    assert Entry.objects.count() == before


def test_fields_that_the_sheet_does_not_ask_are_passed_over(
    sheet: AnswerSheet, learner: Person
) -> None:
    answers = {(1, "nonsense"): "1", (99, "stock"): "2"}
    services.keep_answers(sheet=sheet, by=learner, answers=answers)
    assert not sheet.answers.exists()


@pytest.mark.parametrize("text", ["\U0001f600", "x" * 500, "x" * 9000, "1\x005", "<b>30</b>", "١٥"])
def test_any_text_is_kept_up_to_500_characters(
    text: str, sheet: AnswerSheet, learner: Person
) -> None:
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): text})
    assert sheet.answers.get().written == text.replace("\x00", "")[:500]


def test_nobody_else_writes_on_a_sheet(sheet: AnswerSheet, educator: Person) -> None:
    with pytest.raises(PaperError, match="Only the apprentice"):
        services.keep_answers(sheet=sheet, by=educator, answers={(1, "stock"): "1"})
    with pytest.raises(PaperError, match="Only the apprentice"):
        services.hand_in(sheet=sheet, by=educator)


def test_the_key_earns_full_marks(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES, WHITE])
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    done = services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    assert done.marks == done.possible
    assert (done.passed, done.not_safe) == (True, False)


def test_what_is_stored_equals_the_engines_marking(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper(parts=[DILUTE, WHITE])
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    slips = {
        (row.position, slip.field): str(slip.value)
        for row in questions_of(sheet)
        for slip in row.question.mistakes
    }
    done = services.hand_in(sheet=sheet, by=learner, answers={**right_answers(sheet), **slips})
    rows = rows_of(done)
    markings = []
    for row in questions_of(done):
        marking = mark(row.question, written(row, rows))
        markings.append(marking)
        for line in marking.fields:
            stored = rows[row.pk, line.field.key]
            assert (stored.verdict, stored.mistake) == (line.verdict, line.mistake)
            assert stored.marks == line.marks
            assert stored.unsafe == line.unsafe
    total = paper_total(markings)
    assert (done.marks, done.possible) == (Decimal(total.marks), Decimal(total.possible))
    assert done.not_safe == total.not_safe
    assert any(row.mistake for row in rows.values())


def test_a_line_left_empty_is_stored_as_empty(sheet: AnswerSheet, learner: Person) -> None:
    services.hand_in(sheet=sheet, by=learner)
    assert set(sheet.answers.values_list("verdict", flat=True)) == {"empty"}


def test_a_rinse_later_than_the_ceiling_is_not_safe(learner: Person, set_paper: SetPaper) -> None:
    paper = set_paper(parts=[WHITE])
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    answers = {**right_answers(sheet), (1, "latest_rinse"): "23:59"}
    done = services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert (done.not_safe, done.passed) == (True, False)


@pytest.mark.parametrize(
    "writing", ["{}", "{} g", "{}g", "{},0", "{}.0 grams", " {} ", "{},00 g", "{} gr."]
)
def test_no_mark_is_lost_for_how_a_weight_is_written(
    writing: str, sheet: AnswerSheet, learner: Person
) -> None:
    weight = right_answers(sheet)[1, "stock"].split("\u00a0")[0].split(" ")[0]
    answers = {(1, "stock"): writing.format(weight)}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert sheet.answers.get(field="stock").verdict == Answer.Verdict.RIGHT


@pytest.mark.parametrize("text", ["\U0001f600", "thirty", "30 ml", "1,5,2", "x" * 500, "-", "\x00"])
def test_what_cannot_be_read_is_marked_unread_and_harms_nothing(
    text: str, sheet: AnswerSheet, learner: Person
) -> None:
    done = services.hand_in(sheet=sheet, by=learner, answers={(1, "stock"): text})
    stored = done.answers.get(field="stock")
    assert stored.verdict in {Answer.Verdict.UNREAD, Answer.Verdict.EMPTY}
    assert stored.marks == 0


def test_handing_in_twice_gives_one_result(sheet: AnswerSheet, learner: Person) -> None:
    first = services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    second = services.hand_in(sheet=sheet, by=learner, answers={(1, "stock"): "1"})
    assert (first.pk, first.marks, first.submitted_at) == (
        second.pk,
        second.marks,
        second.submitted_at,
    )
    assert Entry.objects.filter(action="exercises.answersheet.handed_in").count() == 1


def test_a_sheet_that_was_handed_in_stands(sheet: AnswerSheet, learner: Person) -> None:
    done = services.hand_in(sheet=sheet, by=learner)
    with pytest.raises(PaperError, match="handed in"):
        services.keep_answers(sheet=done, by=learner, answers={(1, "stock"): "1"})
    for rows in (
        AnswerSheet._base_manager.filter(pk=done.pk),
        Answer._base_manager.filter(sheet=done),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            rows.update(marks=9)


def test_a_sheet_of_a_withdrawn_paper_is_not_taken(
    sheet: AnswerSheet, learner: Person, educator: Person
) -> None:
    services.withdraw_paper(paper=sheet.paper, by=educator)
    with pytest.raises(PaperError, match="withdrawn"):
        services.hand_in(sheet=sheet, by=learner)


def test_who_has_lost_the_place_in_the_cohort_is_told_so(
    sheet: AnswerSheet, learner: Person
) -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    learner.cohort_places.update(since=yesterday - timedelta(days=1), until=yesterday)
    with pytest.raises(PaperError, match="place in Cohort 7"):
        services.hand_in(sheet=sheet, by=learner)


def test_the_entry_of_handing_in_reads_as_a_sentence(sheet: AnswerSheet, learner: Person) -> None:
    services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    entry = Entry.objects.filter(action="exercises.answersheet.handed_in")
    assert render(entry)[0].sentence == (
        "Tamsin Orle handed in \u201cDeveloper and bowl\u201d, attempt 1: 4 of 4 marks"
    )
