"""Item statistics of a paper and over all papers, on the page and as files."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from academy.craft.exercise.engine import Level
from academy.craft.exercise.statistics import Separates
from academy.exercises import services
from academy.exercises.models import (
    Answer,
    AnswerRemark,
    AnswerSheet,
    Paper,
    Remarking,
    SheetRemark,
)
from academy.exercises.queries.families import all_papers
from academy.exercises.queries.results import results_of
from academy.exercises.queries.statistics import statistics_of
from academy.exercises.services import PartWanted
from academy.exercises.services.keeping import questions_of
from academy.people.models import Cohort, Person, Role
from tests.site.exercises.conftest import DILUTE, QUANTITIES, SetPaper, right_answers
from tests.site.factories import CohortPlaceFactory
from tests.site.workbooks import cells_of

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy

FIRST = PartWanted("dilute-a-developer", Level.FIRST, 1)
THREE = [DILUTE, QUANTITIES, FIRST]


@pytest.fixture
def learners(make_member: Callable[..., Person], cohort: Cohort) -> list[Person]:
    people = [make_member(Role.APPRENTICE, name=f"Learner {n:02}") for n in range(20)]
    for person in people:
        CohortPlaceFactory(cohort=cohort, person=person)
    return people


def answered(paper: Paper, person: Person, *wrong: int, slip: str = "") -> AnswerSheet:
    """A first sheet with these questions left empty, or a slip in the first one."""
    sheet = services.start_sheet(paper=paper, apprentice=person)
    answers = {at: text for at, text in right_answers(sheet).items() if at[0] not in wrong}
    for mistake in questions_of(sheet)[0].question.mistakes:
        if mistake.id == slip:
            answers[1, mistake.field] = str(mistake.value)
    return services.hand_in(sheet=sheet, by=person, answers=answers)


def at(name: str, paper: Paper | None = None) -> str:
    more = {"token": paper.token} if paper else {}
    return reverse(f"exercises:{name}", kwargs={"academy": "larkmere", **more})


def test_shares_slips_and_what_separates(learners: list[Person], set_paper: SetPaper) -> None:
    paper = set_paper(parts=THREE)
    for n, person in enumerate(learners):
        # The weak miss questions 1 and 2, the strong miss 3.
        answered(paper, person, *((1, 2) if n < 8 else (3,)))
    first, second, third = statistics_of(paper).questions
    assert [(one.share.right, one.share.sheets) for one in (first, second, third)] == [
        (12, 20),
        (12, 20),
        (8, 20),
    ]
    assert (first.share.low, first.share.high) == (39, 78)
    assert third.separation.means is Separates.LOOK
    assert [line.share.right for line in first.lines] == [12, 12, 12]
    assert first.lines[0].label.startswith("Developer")
    assert [one.position for one in statistics_of(paper).look] == [3]


def test_a_level_is_filtered_and_separation_still_rests_on_the_whole_paper(
    learners: list[Person], set_paper: SetPaper
) -> None:
    paper = set_paper(parts=THREE)
    for n, person in enumerate(learners):
        answered(paper, person, *((1, 3) if n < 8 else ()))
    (only,) = statistics_of(paper, level="first").questions
    whole = statistics_of(paper)
    assert only == whole.questions[2]
    assert only.separation.means is Separates.WELL
    assert whole.levels == ["first", "working"]


def test_only_the_first_sheet_of_each_counts(learners: list[Person], set_paper: SetPaper) -> None:
    paper = set_paper(parts=[DILUTE])
    answered(paper, learners[0], slip="mixed-units")
    answered(paper, learners[0])
    found = statistics_of(paper)
    assert (found.sheets, found.questions[0].share.right) == (1, 0)
    assert [slip.words for slip in found.slips] == ["mixed units"]
    line = next(line for line in found.questions[0].lines if line.slip)
    assert (line.slip, line.slips) == ("mixed units", 1)
    assert found.questions[0].share.interval is None


def test_times_leave_out_paper_and_pauses(
    learners: list[Person], set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES])
    begun = timezone.now() - timedelta(hours=3)
    for n, person in enumerate(learners[:6]):
        sheet = services.start_sheet(paper=paper, apprentice=person)
        services.keep_answers(sheet=sheet, by=person, answers=right_answers(sheet))
        AnswerSheet.objects.filter(pk=sheet.pk).update(started_at=begun)
        # Four minutes for the first question; two for the second, or a pause before it.
        for question, minutes in ((1, 4), (2, 6 if n else 40)):
            Answer.objects.filter(sheet=sheet, question__position=question).update(
                kept_at=begun + timedelta(minutes=minutes)
            )
        services.hand_in(sheet=sheet, by=person)
    services.hand_in_entered(
        paper=paper, apprentice=learners[7], by=educator, answers={(1, "stock"): "3"}
    )
    found = statistics_of(paper)
    assert [(one.minutes, one.timed) for one in found.questions] == [(4, 6), (2, 5)]
    assert (found.sheets, found.from_paper) == (7, 1)


def marked_again(sheet: AnswerSheet, educator: Person) -> None:
    """As if a key had been corrected: everything on the sheet is right now."""
    remarking = Remarking.objects.create(paper=sheet.paper, by=educator, reason="The key was off.")
    remark = SheetRemark.objects.create(
        remarking=remarking,
        sheet=sheet,
        marks=sheet.possible or 0,
        possible=sheet.possible or 0,
        not_safe=False,
        passed=True,
    )
    for answer in sheet.answers.all():
        AnswerRemark.objects.create(
            remark=remark, answer=answer, verdict="right", mistake="", marks=2, unsafe=False
        )


def test_marks_given_again_are_what_counts(
    learners: list[Person], set_paper: SetPaper, educator: Person, academy: Academy
) -> None:
    paper = set_paper(parts=[DILUTE])
    sheet = answered(paper, learners[0], slip="mixed-units")
    before = results_of(paper)
    assert (before.passed, len(before.slips), all_papers(academy).rows[0].percent) == (0, 1, 66)
    marked_again(sheet, educator)
    found, results = statistics_of(paper), results_of(paper)
    assert (found.questions[0].share.right, found.slips) == (1, [])
    assert (results.passed, results.slips, results.questions[0].share) == (1, [], 100)
    assert all_papers(academy).rows[0].percent == 100
    assert all_papers(academy).slips == []


def test_over_all_papers_the_hardest_stands_first(
    learners: list[Person],
    set_paper: SetPaper,
    academy: Academy,
    cohort: Cohort,
) -> None:
    paper, other = set_paper(parts=[DILUTE]), set_paper(parts=[QUANTITIES])
    answered(paper, learners[0], slip="mixed-units")
    answered(other, learners[0])
    found = all_papers(academy)
    assert [(row.key, row.earned, row.lines, row.sheets) for row in found.rows] == [
        ("dilute-a-developer", 2, 3, 1),
        ("mixing-ratio-quantities", 4, 4, 1),
    ]
    assert found.slips[0].sentence.startswith("You used volume for one")
    assert len(all_papers(academy, cohort=cohort, level="working").rows) == 2
    assert all_papers(academy, level="exam").rows == []
    assert len(all_papers(academy, family="dilute-a-developer").rows) == 1


# The pages and files


def test_the_page_says_what_to_look_at_or_that_sheets_are_few(
    learners: list[Person],
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper(parts=THREE)
    client = signed_in(educator)
    assert "Nothing to count yet" in client.get(at("paper-statistics", paper)).text
    answered(paper, learners[0])
    few = client.get(at("paper-statistics", paper)).text
    assert few.count("too few to say") >= 3
    assert "Too few to say" in few
    for n, person in enumerate(learners[1:]):
        answered(paper, person, *((1, 2) if n < 8 else (3,)))
    page = client.get(at("paper-statistics", paper)).text
    assert "1 question is to be looked at" in page
    assert "the strong miss it more often" in page
    assert "Separates well" in page or "Says little" in page
    assert "?level=first" in page
    only = client.get(at("paper-statistics", paper), {"level": "first"}).text
    assert ("3. Diluting" in only, "1. Diluting" in only) == (True, False)
    assert client.get(at("paper-statistics", paper), {"level": "x"}).status_code == 200
    detail = client.get(at("paper-detail", paper)).text
    assert at("paper-statistics", paper) in detail


def test_both_files_hold_the_figures_as_figures(
    learners: list[Person],
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper(parts=[DILUTE])
    for person in learners[:6]:
        answered(paper, person, slip="mixed-units")
    client = signed_in(educator)
    answer = client.get(at("paper-statistics-csv", paper))
    assert answer["Cache-Control"] == "private, no-store"
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert (rows[0]["Sheets"], rows[0]["Right"], rows[0]["In words"]) == (
        "6",
        "0",
        "Too few to say",
    )
    assert "Mixed units" in {row["Commonest slip"] for row in rows}
    book = client.get(at("paper-statistics-xlsx", paper))
    assert book["Content-Disposition"] == (
        'attachment; filename="developer-and-bowl-statistics.xlsx"'
    )
    questions = cells_of(book.content, 1)
    assert questions[0]["E"] == "Sheets"
    told = [questions[1][column] for column in "ABEF"]
    assert told == [1, "Diluting a developer", 6, 0]
    slips = cells_of(book.content, 2)
    assert (slips[1]["A"], slips[1]["C"]) == ("Mixed units", 6.0)


def test_a_name_that_looks_like_a_sum_stays_a_name(
    learners: list[Person],
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    names = ["=1+1", "+A1", "-A1", "@SUM(A1)", "\uff1dA1"]
    for person, name in zip(learners, names, strict=False):
        person.name = name
        person.save()
    paper, client = set_paper(parts=[DILUTE]), signed_in(educator)
    text = client.get(at("paper-results-csv", paper)).content.decode("utf-8-sig")
    assert {row[0] for row in csv.reader(io.StringIO(text))} >= {f"'{name}" for name in names}
    book = client.get(at("paper-results-xlsx", paper)).content
    rows = cells_of(book, 1)
    assert {row["A"] for row in rows} >= set(names)


def test_the_page_over_all_papers_filters_and_exports(
    learners: list[Person],
    set_paper: SetPaper,
    educator: Person,
    cohort: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    client = signed_in(educator)
    assert "Nothing to count here" in client.get(at("statistics")).text
    answered(set_paper(parts=[DILUTE]), learners[0], slip="mixed-units")
    words = {"cohort": cohort.token, "level": "working", "family": "dilute-a-developer"}
    page = client.get(at("statistics"), words).text
    assert "Least goes right in Diluting a developer, working: 66 % of the lines" in page
    assert f"cohort={cohort.token}" in page
    none = client.get(at("statistics"), {**words, "level": "exam"}).text
    assert "Nothing to count here" in none
    rows = cells_of(client.get(at("statistics-xlsx"), words).content, 1)
    assert [row.get("F") for row in rows] == ["Earned, %", 66.0]


def test_the_pages_ask_alike_for_1_and_for_20_sheets(
    learners: list[Person],
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper, client = set_paper(parts=THREE), signed_in(educator)

    def counts() -> list[int]:
        found = []
        for address in (at("paper-statistics", paper), at("statistics"), at("paper-detail", paper)):
            with CaptureQueriesContext(connection) as asked:
                client.get(address)
            found.append(len(asked))
        return found

    answered(paper, learners[0], slip="mixed-units")
    few = counts()
    for person in learners[1:]:
        answered(paper, person, slip="mixed-units")
    assert counts() == few
