"""The marked sheet of orders, several choices and places on the head, and of a test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.craft.exercise.engine import Level
from academy.exercises import services
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.marked import MarkedLine, MarkedQuestion, marked_sheet
from academy.exercises.services import PartWanted
from academy.exercises.services.keeping import questions_of
from tests.site.exercises.conftest import WHITE, SetPaper, right_answers
from tests.trial import Trial, registered

if TYPE_CHECKING:
    from academy.people.models import Person


@pytest.fixture
def sheet(learner: Person, set_paper: SetPaper) -> Iterator[AnswerSheet]:
    with registered():
        paper = set_paper(parts=[PartWanted(Trial.key, Level.WORKING, 1)])
        yield services.start_sheet(paper=paper, apprentice=learner)


def marked(sheet: AnswerSheet, **answers: str) -> MarkedQuestion:
    """The one question, handed in with these answers."""
    typed = {(1, key): text for key, text in answers.items()}
    done = services.hand_in(sheet=sheet, by=sheet.apprentice, answers=typed)
    [question] = marked_sheet(done)
    return question


def line(question: MarkedQuestion, key: str) -> MarkedLine:
    return next(one for one in question.lines if one.marking.field.key == key)


def test_an_order_shows_which_neighbours_are_the_wrong_way_round(
    sheet: AnswerSheet, page: Callable[..., str]
) -> None:
    """The key is b, a, c, d."""
    order = line(marked(sheet, order="a, b, d, c"), "order")
    assert [(step.letter, step.turned) for step in order.steps] == [
        ("A", True),
        ("B", False),
        ("D", True),
        ("C", False),
    ]
    assert [step.letter for step in order.right_steps] == ["B", "A", "C", "D"]
    text = page(sheet)
    assert text.count("These two are the wrong way round") == 2
    assert "The right order" in text


def test_a_named_slip_of_an_order_brings_its_sentence(
    sheet: AnswerSheet, page: Callable[..., str]
) -> None:
    marked(sheet, order="a, b, c, d")
    text = page(sheet)
    assert "Likely slip: swapped." in text
    assert "The slice is taken before it is combed flat." in text


def test_a_right_order_shows_no_second_list(sheet: AnswerSheet, page: Callable[..., str]) -> None:
    marked(sheet, order="b, a, c, d")
    text = page(sheet)
    assert "As you put it" in text
    assert "The right order" not in text
    assert "wrong way round" not in text


def test_several_choices_show_what_was_missed_and_what_was_too_much(
    sheet: AnswerSheet, page: Callable[..., str]
) -> None:
    """The key is brush and bowl."""
    tools = line(marked(sheet, tools="brush, razor"), "tools")
    assert {tick.words: tick.mark for tick in tools.ticks} == {
        "Brush": "right",
        "Tail comb": "none",
        "Bowl": "missing",
        "Razor": "wrong",
    }
    text = page(sheet)
    assert 'Bowl, <b class="marked">missed</b>' in text
    assert 'Razor, <b class="marked">too much</b>' in text


def test_a_place_shows_own_and_right_point_and_the_distance(
    sheet: AnswerSheet, page: Callable[..., str]
) -> None:
    """The left corner lies at 60 and 45 degrees, the right one at -60 and 45."""
    question = marked(sheet, left="60 45", right="-40 45")
    assert line(question, "left").distance_mm == "0"
    away = int(line(question, "right").distance_mm)
    assert 20 < away < 40  # 20 degrees round a circle of some 70 mm: computed, about 25 mm
    kinds = {dot.point.name: dot.point.kind for dot in question.head[0].dots}
    assert kinds == {"own-left": "own", "own-right": "off", "right-right": "right"}
    text = page(sheet)
    assert f"<em>{away} mm away</em>" in text
    assert '<symbol id="head-top"' in text


def test_the_picture_stands_there_again(sheet: AnswerSheet, page: Callable[..., str]) -> None:
    marked(sheet)
    question = marked_sheet(sheet)[0]
    assert question.picture is None  # the head is drawn instead
    assert "left empty" in page(sheet)


def test_what_could_not_be_read_of_a_list_is_shown_as_it_was_typed(
    sheet: AnswerSheet, page: Callable[..., str]
) -> None:
    marked(sheet, order="a, b", tools="<b>comb</b>")
    text = page(sheet)
    assert "<s>a, b</s>" in text
    assert "<s>&lt;b&gt;comb&lt;/b&gt;</s>" in text


def test_a_test_shows_marks_only_until_it_is_closed(
    learner: Person, educator: Person, set_paper: SetPaper, page: Callable[..., str]
) -> None:
    sheet = services.start_sheet(
        paper=set_paper(parts=[WHITE], kind=Paper.Kind.TEST), apprentice=learner
    )
    question = questions_of(sheet)[0].question
    slip = question.mistakes[0]
    answers = {**right_answers(sheet), (1, slip.field): str(slip.value)}
    done = services.hand_in(sheet=sheet, by=learner, answers=answers)
    text = page(sheet)
    assert f"{int(done.marks or 0)} of {int(done.possible or 0)}" in text
    assert "once your educator closes it" in text
    for told in ("Likely slip", slip.sentence, "Worked through", question.solution[0].words):
        assert told not in text
    # Staff see all of it; the apprentice does from the closing on.
    assert slip.sentence in page(sheet, educator)
    services.close_paper(paper=sheet.paper, by=educator)
    assert slip.sentence in page(sheet)


def test_a_test_with_a_last_day_says_from_when_its_solution_stands_there(
    learner: Person, set_paper: SetPaper, page: Callable[..., str]
) -> None:
    tomorrow = timezone.localdate() + timedelta(days=1)
    paper = set_paper(kind=Paper.Kind.TEST, due_on=tomorrow)
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    services.hand_in(sheet=sheet, by=learner)
    assert "stand here from" in page(sheet)


def test_the_marked_page_names_its_sheet_to_the_outbox(
    sheet: AnswerSheet, page: Callable[..., str], educator: Person
) -> None:
    marked(sheet)
    assert f'data-outbox-late="{sheet.token}" hidden' in page(sheet)
    assert "data-outbox-late" not in page(sheet, educator)
