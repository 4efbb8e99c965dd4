"""The page an apprentice answers on, with and without script."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from academy.craft.exercise.engine import (
    Level,
    Question,
    draw,
    families,
    made_from_a_module,
)
from academy.craft.rules import Rules, standard_rules
from academy.exercises import services
from academy.exercises.crib import crib, word
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.sheets import open_sheet
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper, right_answers

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person


@pytest.fixture
def client(signed_in: Callable[[Person], Client], learner: Person) -> Client:
    return signed_in(learner)


def at(name: str, row: Paper | AnswerSheet) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": row.token})


def fields(answers: dict[tuple[int, str], str]) -> dict[str, str]:
    return {f"q{position}-{key}": text for (position, key), text in answers.items()}


def test_a_paper_begins_with_a_button(client: Client, set_paper: SetPaper) -> None:
    paper = set_paper()
    assert "Begin" in client.get(at("paper-answer", paper)).text
    assert not AnswerSheet.objects.exists()
    client.post(at("paper-answer", paper))
    assert "question 1 of 1" in client.get(at("paper-answer", paper)).text


def test_keeping_goes_on_to_the_question_that_was_pressed(
    client: Client, learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    answer = client.post(at("sheet-keep", sheet), {"q1-stock": "12,5", "to": "2"})
    assert answer["Location"] == at("paper-answer", paper) + "?question=2"
    assert sheet.answers.get().written == "12,5"


def test_what_was_kept_stands_there_after_a_lost_session(
    client: Client, sheet: AnswerSheet, learner: Person
) -> None:
    client.post(at("sheet-keep", sheet), {"q1-stock": "12,5 g"})
    client.session.flush()
    lost = client.post(at("sheet-keep", sheet), {"q1-stock": "99"})
    assert lost["Location"].startswith("/account/login/?next=")
    client.force_login(learner)
    assert 'value="12,5 g"' in client.get(at("paper-answer", sheet.paper)).text


def told(client: Client, sheet: AnswerSheet, **texts: str) -> dict[str, Any]:
    """What the outbox is told of one field of question 1."""
    [(key, text)] = texts.items()
    name = f"q1-{key}"
    answer = client.post(at("sheet-outbox", sheet), {name: text})
    line: dict[str, Any] = answer.json()["lines"][name]
    return line


def test_a_change_is_kept_and_read_back(client: Client, sheet: AnswerSheet) -> None:
    line = told(client, sheet, stock="30g")
    assert "Reads as 30 g" in line["note"]
    assert (line["stands"], line["stale"]) == ("30g", False)
    assert sheet.answers.get().written == "30g"


def test_reading_never_says_whether_it_is_right(client: Client, sheet: AnswerSheet) -> None:
    right = right_answers(sheet)[1, "stock"].split()[0]
    one, other = (told(client, sheet, stock=text)["note"] for text in (right, "17"))
    assert one.replace(f"as {right} ", "as 17 ") == other


@pytest.mark.parametrize("text", ["30 ml", "thirty", "\U0001f600", "1,5,2", "x" * 500])
def test_what_cannot_be_read_gets_a_sentence_and_is_kept(
    text: str, client: Client, sheet: AnswerSheet
) -> None:
    line = told(client, sheet, stock=text)
    assert "This line is weighed. Give grams, for example" in line["note"]
    page = client.get(at("paper-answer", sheet.paper)).text
    assert f'value="{text}"' in page
    assert 'aria-invalid="true"' in page


def test_the_example_is_never_the_answer(client: Client, sheet: AnswerSheet) -> None:
    right = right_answers(sheet)[1, "stock"]
    assert f"for example {right}." not in told(client, sheet, stock="grams")["note"]


def test_open_lines_are_named_before_handing_in(client: Client, sheet: AnswerSheet) -> None:
    answer = client.post(at("sheet-keep", sheet), {"q1-stock": "30", "to": "end"})
    assert answer["Location"] == at("sheet-hand-in", sheet)
    page = client.get(at("sheet-hand-in", sheet)).text
    assert "2 lines are still open" in page
    assert "Neutral cream" in page
    assert not AnswerSheet.objects.get().handed_in


def test_a_full_sheet_is_marked_at_once(client: Client, sheet: AnswerSheet) -> None:
    typed = {**fields(right_answers(sheet)), "to": "end"}
    answer = client.post(at("sheet-keep", sheet), typed)
    assert answer["Location"] == at("sheet-detail", sheet)
    assert "Passed. All 4 marks" in client.get(answer["Location"]).text


def test_the_last_button_pressed_twice_says_nothing_is_wrong_unless_something_is_lost(
    client: Client, sheet: AnswerSheet
) -> None:
    keep, answers = at("sheet-keep", sheet), fields(right_answers(sheet))
    refused = "Nothing on it changes any more"
    pages = [client.post(keep, {**answers, "to": "end"}, follow=True) for _ in range(2)]
    assert [(page.status_code, refused in page.text) for page in pages] == [(200, False)] * 2
    other = {**answers, "q1-stock": "1", "to": "end"}
    assert refused in client.post(keep, other, follow=True).text


def test_handing_in_twice_shows_the_one_result(client: Client, sheet: AnswerSheet) -> None:
    first, second = (client.post(at("sheet-hand-in", sheet)) for _ in range(2))
    assert first["Location"] == second["Location"] == at("sheet-detail", sheet)
    assert AnswerSheet.objects.count() == 1


def test_a_sheet_that_is_marked_sends_a_late_answer_to_its_marks(
    client: Client, sheet: AnswerSheet, learner: Person
) -> None:
    services.hand_in(sheet=sheet, by=learner)
    answer = client.post(at("sheet-keep", sheet), {"q1-stock": "1"}, follow=True)
    assert "Nothing on it changes any more" in answer.text
    assert answer.request["PATH_INFO"] == at("sheet-detail", sheet)


def test_a_withdrawn_paper_says_so(client: Client, sheet: AnswerSheet, educator: Person) -> None:
    services.withdraw_paper(paper=sheet.paper, by=educator)
    answer = client.post(at("sheet-hand-in", sheet), follow=True)
    assert "This paper was withdrawn" in answer.text


def test_a_choice_is_kept_by_its_key(client: Client, learner: Person, set_paper: SetPaper) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    client.post(at("sheet-keep", sheet), {"q1-presoften": "no"})
    assert 'value="no" checked' in client.get(at("paper-answer", sheet.paper)).text


@pytest.mark.parametrize("number", ["0", "99", "-1", "x", "²", ""])
def test_a_question_that_does_not_exist_gives_the_nearest(
    number: str, client: Client, sheet: AnswerSheet
) -> None:
    page = client.get(at("paper-answer", sheet.paper), {"question": number})
    assert "question 1 of 1" in page.text


def every_question() -> Iterator[Question]:
    rules = Rules(standard_rules())
    for family in families():
        if made_from_a_module(family):
            continue  # its givens are the module's own words
        for level in Level:
            for seed in range(6):
                yield draw(family.key, level, seed, rules)


def test_the_crib_uses_the_words_of_the_givens(learner: Person) -> None:
    for question in every_question():
        words = [word(given) for given in question.givens]
        assert len(set(words)) == len(words)
        assert max(map(len, words), default=0) <= 36
        for given, said in zip(question.givens, words, strict=True):
            own = given.label.lower().replace(",", "").split()
            assert set(said.lower().replace(",", "").split()) <= set(own)


def test_the_crib_shows_what_the_line_needs_first_and_folds_the_rest() -> None:
    question = draw("cover-white-hair", Level.WORKING, 3, Rules(standard_rules()))
    cream, start = crib(question, "cream"), crib(question, "start")
    needed = ["Mixed product", "Scalp", "Regrowth", "Natural depth"]
    assert [said for said, _ in cream.now] == needed
    assert len(cream.all) == len(question.givens)
    assert all(said.startswith("White, ") for said, _ in start.now)
    assert len(start.now) == 5
    few = draw("dilute-a-developer", Level.WORKING, 3, Rules(standard_rules()))
    assert (len(crib(few, "stock").now), crib(few, "stock").all) == (3, [])


def test_each_line_names_the_givens_that_it_needs(
    client: Client, learner: Person, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    page = client.get(at("paper-answer", sheet.paper)).text
    assert "All given values" in page
    [asked] = open_sheet(sheet).asked
    every = asked.crib.all
    for line, places in asked.cribs:
        needed = [every[int(place)] for place in places.split()]
        assert needed == crib(asked.drawn, line.field.key).now
        assert f'data-line="{line.name}" data-needs="{places}"' in page


def test_all_questions_are_on_the_page_and_one_is_shown(
    client: Client, learner: Person, set_paper: SetPaper
) -> None:
    """So that going on asks for no signal; without script the others stay away."""
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    services.start_sheet(paper=paper, apprentice=learner)
    page = client.get(at("paper-answer", paper), {"question": "2"}).text
    shown = dict(re.findall(r'<article class="question" id="question-(\d)"[^>]*?( hidden)?>', page))
    assert shown == {"1": " hidden", "2": ""}
    assert page.count('method="post" id="sheet-') == 2
