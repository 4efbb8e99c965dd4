"""The marked sheet: verdicts, named slips, own figures in the worked solution."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.exercises import services
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.services.keeping import questions_of
from tests.site.exercises.conftest import WHITE, SetPaper, right_answers

if TYPE_CHECKING:
    from academy.people.models import Person


def test_a_named_slip_brings_the_sentence_that_helps(
    page: Callable[..., str], sheet: AnswerSheet, learner: Person
) -> None:
    slip = next(m for m in questions_of(sheet)[0].question.mistakes if m.id == "mixed-units")
    services.hand_in(sheet=sheet, by=learner, answers={(1, "stock"): str(slip.value)})
    text = page(sheet)
    assert "Likely slip: mixed units." in text
    assert slip.sentence in text


def test_follow_through_earns_its_marks_and_shows_the_own_sum(
    page: Callable[..., str], sheet: AnswerSheet, learner: Person
) -> None:
    question = questions_of(sheet)[0].question
    total = int(question.givens[0].value)
    slip = next(m for m in question.mistakes if m.id == "mixed-units")
    own = Decimal(str(slip.value)).normalize()
    answers = {(1, "stock"): f"{own:f}", (1, "neutral"): f"{total - own:f}"}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    assert sheet.answers.get(field="neutral").verdict == "follow_through"
    text = page(sheet)
    assert "Follow-through, 1 mark." in text
    assert f"{total} g − {own:f} g" in text


def test_an_unsafe_answer_is_said_first(
    page: Callable[..., str], learner: Person, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    answers = {**right_answers(sheet), (1, "latest_rinse"): "23:59"}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    text = page(sheet)
    assert "Not safe: one answer would harm somebody" in text
    assert "Not safe: that is past the ceiling." in text


def test_who_decided_a_value_stands_there(
    page: Callable[..., str], learner: Person, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    services.hand_in(sheet=sheet, by=learner)
    assert "the standard rule" in page(sheet)


def test_what_is_needed_to_pass_is_rounded_up(
    page: Callable[..., str], sheet: AnswerSheet, learner: Person
) -> None:
    services.hand_in(sheet=sheet, by=learner)
    assert "4 are needed to pass." in page(sheet)  # 80 % of 4 marks is 3.2


def test_practice_offers_another_try_and_a_test_does_not(
    page: Callable[..., str], learner: Person, set_paper: SetPaper
) -> None:
    for kind, offered in ((Paper.Kind.PRACTICE, True), (Paper.Kind.TEST, False)):
        sheet = services.start_sheet(paper=set_paper(kind=kind), apprentice=learner)
        services.hand_in(sheet=sheet, by=learner)
        assert ("Try again, new numbers" in page(sheet)) is offered


def test_staff_read_it_with_the_name_and_without_another_try(
    page: Callable[..., str], sheet: AnswerSheet, learner: Person, educator: Person
) -> None:
    services.hand_in(sheet=sheet, by=learner)
    text = page(sheet, educator)
    assert "Tamsin Orle" in text
    assert "Try again" not in text


def test_a_strange_text_is_shown_as_it_was_typed_and_not_as_markup(
    page: Callable[..., str], sheet: AnswerSheet, learner: Person
) -> None:
    services.hand_in(sheet=sheet, by=learner, answers={(1, "stock"): "<b>30</b>"})
    assert "&lt;b&gt;30&lt;/b&gt;" in page(sheet)
