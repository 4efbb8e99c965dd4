"""Who got what, which slips were made; lists that ask the database alike at 1 and at 40 rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from academy.exercises import services
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.results import results_of
from academy.exercises.services.keeping import questions_of
from tests.site.exercises.conftest import DILUTE, QUANTITIES, SetPaper, right_answers

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

LIST = "/larkmere/exercises/"


def answered(paper: Paper, person: Person, *, slip: str = "") -> AnswerSheet:
    """A sheet that was handed in, right but for one slip in its first question."""
    sheet = services.start_sheet(paper=paper, apprentice=person)
    answers = right_answers(sheet)
    for mistake in questions_of(sheet)[0].question.mistakes:
        if mistake.id == slip:
            answers[1, mistake.field] = str(mistake.value)
    return services.hand_in(sheet=sheet, by=person, answers=answers)


def at(name: str, paper: Paper) -> str:
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", "token": paper.token})


def test_slips_are_counted_with_how_many_made_them(
    learners: Callable[[int], list[Person]], set_paper: SetPaper
) -> None:
    one, two, three, _ = learners(4)
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    for person in (one, one, two):
        answered(paper, person, slip="mixed-units")
    answered(paper, three, slip="on-top")
    slips = {slip.words: (slip.count, slip.people) for slip in results_of(paper).slips}
    assert slips == {"mixed units": (3, 2), "on top": (1, 1)}
    assert results_of(paper).slips[0].sentence.startswith("You used volume for one")


def test_the_share_of_a_question_counts_lines_that_earned_their_marks(
    learners: Callable[[int], list[Person]], set_paper: SetPaper
) -> None:
    one, two = learners(2)
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    answered(paper, one)
    services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=two), by=two)
    first, second = results_of(paper).questions
    assert (first.earned, first.lines, first.share) == (3, 6, 50)
    assert (second.earned, second.lines, second.share) == (4, 8, 50)


def test_the_last_sheet_counts_and_a_pass_stays_a_pass(
    learners: Callable[[int], list[Person]], set_paper: SetPaper
) -> None:
    (person,) = learners(1)
    paper = set_paper()
    answered(paper, person)
    services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=person), by=person)
    (row,) = results_of(paper).rows
    assert row.sheet is not None
    assert (row.attempts, row.sheet.marks, row.passed) == (2, Decimal(0), True)


def test_who_has_left_stands_there_with_their_sheet_and_is_not_counted(
    learners: Callable[[int], list[Person]], set_paper: SetPaper
) -> None:
    person, _ = learners(2)
    paper = set_paper()
    answered(paper, person)
    yesterday = timezone.localdate() - timedelta(days=1)
    person.cohort_places.update(since=yesterday, until=yesterday)
    results = results_of(paper)
    assert (results.handed_in, results.places) == (0, 1)
    assert [row.here for row in results.rows] == [False, True]


def test_the_page_filters_and_says_who_is_late(
    learners: Callable[[int], list[Person]],
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    educator: Person,
) -> None:
    one, _ = learners(2)
    paper = set_paper(due_on=timezone.localdate())
    answered(paper, one)
    Paper.objects.update(due_on=timezone.localdate() - timedelta(days=1))
    client = signed_in(educator)
    page = client.get(at("paper-detail", paper)).text
    assert "1 of 2 have handed in, 1 passed" in page
    assert '<span class="marked">late</span>' in page
    open_only = client.get(at("paper-detail", paper), {"show": "open"}).text
    assert ("Learner 01" in open_only, "Learner 00" in open_only) == (True, False)
    assert client.get(at("paper-detail", paper), {"show": "nonsense"}).status_code == 200


def test_the_table_is_exported_with_every_apprentice(
    learners: Callable[[int], list[Person]],
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    educator: Person,
) -> None:
    one, two = learners(2)
    two.name = "=HYPERLINK(1)"
    two.save()
    paper = set_paper()
    answered(paper, one, slip="mixed-units")
    answer = signed_in(educator).get(at("paper-results-csv", paper))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))
    by_name = {row["Apprentice"]: row for row in rows}
    assert by_name["Learner 00"]["Slips"] == "Mixed units"
    assert by_name["Learner 00"]["What they are"].startswith("You used volume for one")
    assert by_name["Learner 00"]["Passed"] == "no"
    assert by_name["'=HYPERLINK(1)"]["State"] == "not begun"


def test_the_list_shows_how_many_and_the_commonest_slip(
    learners: Callable[[int], list[Person]],
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    educator: Person,
) -> None:
    one, two, _ = learners(3)
    paper = set_paper()
    for person in (one, two):
        answered(paper, person, slip="mixed-units")
    page = " ".join(signed_in(educator).get(LIST).text.split())
    assert "2 of 3" in page
    assert 'Mixed units <span class="quiet">2 times</span>' in page
    assert "1 sheet is still missing" in page


def test_an_apprentice_sees_own_papers_with_their_state(
    learner: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    set_paper(title="Fresh")
    services.start_sheet(paper=set_paper(title="Begun"), apprentice=learner)
    answered(set_paper(title="Done"), learner)
    page = signed_in(learner).get(LIST).text
    assert "2 papers to answer" in page
    assert "passed, 4 of 4" in page
    assert page.index("Handed in") < page.index("Done")


def test_a_withdrawn_paper_leaves_the_apprentices_list_unless_it_was_answered(
    learner: Person, educator: Person, set_paper: SetPaper, signed_in: Callable[[Person], Client]
) -> None:
    papers = [set_paper(title="Untouched"), set_paper(title="Answered")]
    answered(papers[1], learner)
    for paper in papers:
        services.withdraw_paper(paper=paper, by=educator)
    page = signed_in(learner).get(LIST).text
    assert ("Untouched" in page, "Answered" in page) == (False, True)


@pytest.mark.parametrize("visitor", ["educator", "manager", "learner"])
def test_an_empty_list_says_what_it_takes(
    visitor: str, signed_in: Callable[[Person], Client], request: pytest.FixtureRequest
) -> None:
    page = signed_in(request.getfixturevalue(visitor)).get(LIST).text
    assert 'class="empty"' in page
    assert ("Set a paper" in page) is (visitor == "educator")


@pytest.mark.parametrize("visitor", ["educator", "learner"])
def test_the_list_asks_alike_for_1_and_for_40_papers(
    visitor: str,
    learner: Person,
    set_paper: SetPaper,
    signed_in: Callable[[Person], Client],
    request: pytest.FixtureRequest,
) -> None:
    client = signed_in(request.getfixturevalue(visitor))
    counts = []
    for papers in (1, 39):
        for n in range(papers):
            paper = set_paper(same_numbers=True, seed=n)
            answered(paper, learner, slip="mixed-units")
        with CaptureQueriesContext(connection) as asked:
            client.get(LIST)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_results_ask_alike_for_1_and_for_40_sheets(
    learners: Callable[[int], list[Person]], set_paper: SetPaper
) -> None:
    people = learners(40)
    paper = set_paper(same_numbers=True)
    answered(paper, people[0], slip="mixed-units")
    with CaptureQueriesContext(connection) as one:
        results_of(paper)
    for person in people[1:]:
        answered(paper, person, slip="mixed-units")
    with CaptureQueriesContext(connection) as forty:
        results_of(paper)
    assert len(one) == len(forty)
