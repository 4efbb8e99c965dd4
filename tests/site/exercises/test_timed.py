"""Tests end by their time, by their last day, or because an educator closes them."""

from __future__ import annotations

import html
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.exercises import paper_tasks, rules, services
from academy.exercises.errors import PaperError
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.services.keeping import questions_of
from academy.web.models import Job
from tests.site.exercises.conftest import DILUTE, QUANTITIES, SetPaper, right_answers

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

SetClock = Callable[[datetime], None]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> SetClock:
    """`clock(moment)`: from now on it is that moment."""

    def set_to(moment: datetime) -> None:
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return set_to


@pytest.fixture
def timed(set_paper: SetPaper) -> Paper:
    return set_paper(kind=Paper.Kind.TEST, minutes=20, parts=[DILUTE, QUANTITIES])


def begin(paper: Paper, learner: Person) -> AnswerSheet:
    return services.start_sheet(paper=paper, apprentice=learner)


def test_the_time_runs_from_when_each_begins(timed: Paper, learner: Person) -> None:
    sheet = begin(timed, learner)
    assert sheet.ends_at == sheet.started_at + timedelta(minutes=20)
    assert Job.objects.get(key=f"exercises.end {sheet.pk}").asked_at > sheet.ends_at + rules.GRACE


def test_practice_and_a_test_without_a_time_have_no_end(
    learner: Person, set_paper: SetPaper
) -> None:
    for paper in (set_paper(), set_paper(kind=Paper.Kind.TEST)):
        assert begin(paper, learner).ends_at is None


def test_the_last_day_cuts_the_time_short(
    learner: Person, set_paper: SetPaper, clock: SetClock
) -> None:
    today = timezone.localdate()
    paper = set_paper(kind=Paper.Kind.TEST, minutes=240, due_on=today)
    assert paper.closes_at is not None
    clock(paper.closes_at - timedelta(minutes=10))
    assert begin(paper, learner).ends_at == paper.closes_at


def test_a_minute_of_grace_is_given_and_no_more(
    timed: Paper, learner: Person, clock: SetClock
) -> None:
    sheet = begin(timed, learner)
    assert sheet.ends_at is not None
    clock(sheet.ends_at + timedelta(seconds=59))
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    clock(sheet.ends_at + timedelta(seconds=61))
    with pytest.raises(PaperError, match="The time is up"):
        services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "45"})
    stored = AnswerSheet.objects.get()
    assert stored.submitted_at == stored.ends_at
    assert stored.answers.get(field="stock").written == "30"


def test_handing_in_too_late_takes_what_was_kept_and_nothing_new(
    timed: Paper, learner: Person, clock: SetClock
) -> None:
    sheet = begin(timed, learner)
    assert sheet.ends_at is not None
    clock(sheet.ends_at + timedelta(minutes=5))
    done = services.hand_in(sheet=sheet, by=learner, answers=right_answers(sheet))
    assert done.handed_in
    assert done.marks == 0


def test_the_worker_hands_in_what_is_left_and_leaves_what_has_time(
    timed: Paper, learner: Person, clock: SetClock
) -> None:
    sheet = begin(timed, learner)
    services.keep_answers(sheet=sheet, by=learner, answers=right_answers(sheet))
    paper_tasks.end_sheet(sheet.pk)
    assert not AnswerSheet.objects.get().handed_in
    assert sheet.ends_at is not None
    clock(sheet.ends_at + timedelta(hours=3))
    for _ in range(2):
        paper_tasks.end_sheet(sheet.pk)
        paper_tasks.end_open_tests()
    stored = AnswerSheet.objects.get()
    assert (stored.submitted_at, stored.marks) == (sheet.ends_at, stored.possible)
    entry = Entry.objects.filter(action="exercises.answersheet.time_up")
    assert render(entry)[0].sentence == (
        "The time of Tamsin Orle for \u201cDeveloper and bowl\u201d, attempt 1 was up: 9 of 9 marks"
    )


def test_going_on_after_the_time_gives_the_sheet_as_it_was_handed_in(
    timed: Paper, learner: Person, clock: SetClock
) -> None:
    sheet = begin(timed, learner)
    assert sheet.ends_at is not None
    clock(sheet.ends_at + timedelta(minutes=5))
    assert begin(timed, learner).handed_in


def test_a_late_practice_sheet_is_still_taken(
    learner: Person, set_paper: SetPaper, clock: SetClock
) -> None:
    paper = set_paper(due_on=timezone.localdate())
    sheet = begin(paper, learner)
    clock(timezone.now() + timedelta(days=3))
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    assert services.hand_in(sheet=sheet, by=learner).handed_in
    assert paper.shows_solution


def test_the_solution_of_a_test_is_shown_after_its_last_day(
    learner: Person, set_paper: SetPaper, clock: SetClock
) -> None:
    paper = set_paper(kind=Paper.Kind.TEST, due_on=timezone.localdate())
    closes = paper.closes_at
    assert closes is not None
    shown = []
    for moment in (timezone.now(), closes - timedelta(seconds=1), closes):
        clock(moment)
        shown.append(paper.shows_solution)
    assert shown == [False, False, True]
    with pytest.raises(PaperError, match="closed"):
        begin(paper, learner)


def test_a_closed_test_that_was_not_answered_is_no_longer_asked_for(
    timed: Paper, learner: Person, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    client = signed_in(learner)
    start = reverse("exercises:paper-answer", kwargs={"academy": "larkmere", "token": timed.token})
    page = " ".join(client.get(start).text.split())
    assert "The clock does not stop once you have begun." in page
    assert "1 paper to answer" in client.get("/larkmere/exercises/").text
    assert "Developer and bowl" in client.get("/larkmere/", follow=True).text
    services.close_paper(paper=timed, by=educator)
    listed = client.get("/larkmere/exercises/").text
    assert ("Nothing to answer today" in listed, "not handed in" in listed) == (True, True)
    assert "Developer and bowl" not in client.get("/larkmere/", follow=True).text
    page = client.get(start).text
    assert ("This test is closed." in page, 'id="begin"' in page) == (True, False)


def test_the_marked_sheet_of_a_test_shows_marks_alone_until_it_is_closed(
    timed: Paper, learner: Person, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    sheet = begin(timed, learner)
    right = right_answers(sheet)
    slip = next(m for m in questions_of(sheet)[0].question.mistakes if m.field == "stock")
    answers = {**right, (1, "stock"): str(slip.value)}
    services.hand_in(sheet=sheet, by=learner, answers=answers)
    url = reverse("exercises:sheet-detail", kwargs={"academy": "larkmere", "token": sheet.token})
    client = signed_in(learner)
    secrets = (slip.sentence, slip.id.replace("-", " "), right[1, "stock"], "Worked through")
    before = html.unescape(client.get(url).text)
    assert "7 of 9" in " ".join(before.split())
    assert [secret in before for secret in secrets] == [False] * 4
    assert slip.sentence in html.unescape(signed_in(educator).get(url).text)
    services.close_paper(paper=timed, by=educator)
    after = html.unescape(client.get(url).text)
    assert [secret in after for secret in secrets] == [True] * 4


def test_the_last_day_ends_at_midnight_where_the_academy_is(set_paper: SetPaper) -> None:
    paper = set_paper(kind=Paper.Kind.TEST, due_on=timezone.localdate())
    paper.academy.time_zone = "Asia/Tokyo"
    closes = paper.closes_at
    assert closes is not None
    assert closes.isoformat().endswith("T00:00:00+09:00")


def test_closing_hands_in_open_sheets_and_shows_the_solution(
    timed: Paper, learner: Person, educator: Person
) -> None:
    sheet = begin(timed, learner)
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    closed = [services.close_paper(paper=timed, by=educator) for _ in range(2)]
    assert closed[0].closed_at == closed[1].closed_at
    assert closed[0].shows_solution
    assert AnswerSheet.objects.get().handed_in
    entries = Entry.objects.filter(action="exercises.paper.closed")
    assert [line.sentence for line in render(entries)] == [
        "Maren Tolvey closed the paper \u201cDeveloper and bowl\u201d for Cohort 7"
    ]


def test_a_closed_test_takes_nothing_more_without_any_grace(
    timed: Paper, learner: Person, educator: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheet = begin(timed, learner)
    monkeypatch.setattr(paper_tasks, "end_sheets", lambda _: None)  # the worker is late
    services.close_paper(paper=timed, by=educator)
    with pytest.raises(PaperError, match="The time is up"):
        services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    assert AnswerSheet.objects.get().handed_in


def test_a_sheet_of_a_withdrawn_test_is_not_handed_in_by_the_clock(
    timed: Paper, learner: Person, educator: Person, clock: SetClock
) -> None:
    sheet = begin(timed, learner)
    services.withdraw_paper(paper=timed, by=educator)
    clock(timezone.now() + timedelta(days=1))
    paper_tasks.end_sheet(sheet.pk)
    assert not AnswerSheet.objects.get().handed_in


def test_only_a_test_is_closed_and_only_by_an_educator(
    set_paper: SetPaper, timed: Paper, educator: Person, assessor: Person
) -> None:
    with pytest.raises(PaperError, match="Only a test"):
        services.close_paper(paper=set_paper(), by=educator)
    with pytest.raises(PaperError, match="Only an educator"):
        services.close_paper(paper=timed, by=assessor)


def test_the_database_holds_what_is_true_of_tests(set_paper: SetPaper, learner: Person) -> None:
    practice = set_paper()
    for fields in ({"closed_at": timezone.now()}, {"minutes": 20}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Paper.objects.filter(pk=practice.pk).update(**fields)
    begin(practice, learner)
    with pytest.raises(IntegrityError), transaction.atomic():
        AnswerSheet.objects.update(ends_at=timezone.now() - timedelta(days=1))


def test_closing_asks_first_and_says_what_happens(
    timed: Paper, learner: Person, signed_in: Callable[[Person], Client], educator: Person
) -> None:
    begin(timed, learner)
    client = signed_in(educator)
    at = {"academy": "larkmere", "token": timed.token}
    detail, close = (reverse(f"exercises:paper-{name}", kwargs=at) for name in ("detail", "close"))
    assert "Close the test" in client.get(detail).text
    page = " ".join(client.get(close).text.split())
    assert "Sheets begun, which are handed in with what was kept</dt><dd>1</dd>" in page
    assert not Paper.objects.get().shows_solution
    assert "Closed. Every marked sheet" in client.post(close, follow=True).text
    assert "Close the test" not in client.get(detail).text
