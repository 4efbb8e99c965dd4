"""The page an apprentice answers on, with and without script."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest
from django.test import Client
from django.urls import reverse

from academy.craft.exercise.engine import Level, Question, draw, families
from academy.craft.rules import Rules, standard_rules
from academy.exercises import services
from academy.exercises.crib import crib, word
from academy.exercises.models import AnswerSheet, Paper
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper, right_answers

if TYPE_CHECKING:
    from academy.people.models import Person

HTMX = {"HX-Request": "true"}


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


def test_a_lost_session_sends_the_whole_page_to_the_sign_in(sheet: AnswerSheet) -> None:
    page = at("paper-answer", sheet.paper) + "?question=1"
    headers = {**HTMX, "HX-Current-URL": f"http://testserver{page}"}
    lost = Client().post(at("sheet-keep", sheet), {"q1-stock": "9"}, headers=headers)
    assert lost.status_code == 204
    assert lost["HX-Redirect"].startswith("/account/login/?next=/larkmere/exercises/")


def test_a_change_is_kept_and_read_back(client: Client, sheet: AnswerSheet) -> None:
    headers = {**HTMX, "HX-Trigger-Name": "q1-stock"}
    answer = client.post(at("sheet-keep", sheet), {"q1-stock": "30g"}, headers=headers)
    assert "Reads as 30 g" in answer.text
    assert "2 lines open" in answer.text
    assert 'id="open-lines" hx-swap-oob="true"' in answer.text
    assert sheet.answers.get().written == "30g"


def test_reading_keeps_nothing(client: Client, sheet: AnswerSheet) -> None:
    answer = client.get(at("sheet-read", sheet), {"q1-stock": "30 g"})
    assert "Reads as 30 g" in answer.text
    assert not sheet.answers.exists()


def test_reading_never_says_whether_it_is_right(client: Client, sheet: AnswerSheet) -> None:
    right = right_answers(sheet)[1, "stock"].split()[0]
    wrong = "17"
    one, other = (
        client.get(at("sheet-read", sheet), {"q1-stock": text}).text for text in (right, wrong)
    )
    assert one.replace(f"as {right} ", "as 17 ") == other


@pytest.mark.parametrize("text", ["30 ml", "thirty", "\U0001f600", "1,5,2", "x" * 500])
def test_what_cannot_be_read_gets_a_sentence_and_is_kept(
    text: str, client: Client, sheet: AnswerSheet
) -> None:
    headers = {**HTMX, "HX-Trigger-Name": "q1-stock"}
    answer = client.post(at("sheet-keep", sheet), {"q1-stock": text}, headers=headers)
    assert "This line is weighed. Give grams, for example" in answer.text
    page = client.get(at("paper-answer", sheet.paper)).text
    assert f'value="{text}"' in page
    assert 'aria-invalid="true"' in page


def test_the_example_is_never_the_answer(client: Client, sheet: AnswerSheet) -> None:
    right = right_answers(sheet)[1, "stock"]
    answer = client.get(at("sheet-read", sheet), {"q1-stock": "grams"}).text
    assert f"for example {right}." not in answer


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
        for level in Level:
            for seed in range(6):
                yield draw(family.key, level, seed, rules)


def test_the_crib_uses_the_words_of_the_givens(learner: Person) -> None:
    for question in every_question():
        words = [word(given) for given in question.givens]
        assert len(set(words)) == len(words)
        assert max(map(len, words)) <= 36
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


def test_a_kept_line_brings_the_givens_of_the_next_one(
    client: Client, learner: Person, set_paper: SetPaper
) -> None:
    sheet = services.start_sheet(paper=set_paper(parts=[WHITE]), apprentice=learner)
    page = client.get(at("paper-answer", sheet.paper)).text
    assert "All given values" in page
    answer = client.post(
        at("sheet-keep", sheet),
        {"q1-share": "50"},
        headers={**HTMX, "HX-Trigger-Name": "q1-share"},
    ).text
    crib_now = answer.partition('id="crib-now"')[2]
    assert "Mixed product" in crib_now.partition("</p>")[0]
