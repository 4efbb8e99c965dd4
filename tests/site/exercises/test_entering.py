"""Answers given on paper, typed in by staff in the apprentice's name."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from academy.audit import sentences
from academy.audit.models import Entry
from academy.exercises import services
from academy.exercises.errors import PaperError
from academy.exercises.form_numbers import form_number, looks_like_one, people_of
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.entering import find, missing_on
from academy.exercises.queries.results import results_of
from academy.exercises.services.timed import end_if_over
from academy.people.models import Cohort, Person, Role
from tests.site.exercises.conftest import DILUTE, QUANTITIES, SetPaper, right_answers
from tests.site.factories import CohortPlaceFactory, MembershipFactory
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy


def on_paper(paper: Paper, person: Person) -> dict[tuple[int, str], str]:
    """What gives full marks on somebody's printed form."""
    return right_answers(AnswerSheet(paper=paper, apprentice=person, attempt=1))


def fields(answers: dict[tuple[int, str], str]) -> dict[str, str]:
    return {f"q{position}-{key}": text for (position, key), text in answers.items()}


def at(name: str, paper: Paper, person: Person | None = None) -> str:
    more = {"person": person.token} if person else {}
    return reverse(
        f"exercises:{name}", kwargs={"academy": "larkmere", "token": paper.token, **more}
    )


@pytest.fixture
def colleague(make_member: Callable[..., Person], cohort: Cohort) -> Person:
    person = make_member(Role.APPRENTICE, name="Wren Hollis")
    CohortPlaceFactory(cohort=cohort, person=person)
    return person


def test_a_paper_is_entered_marked_and_told_in_one_entry(
    learner: Person, set_paper: SetPaper, assessor: Person
) -> None:
    paper = set_paper()
    before = Entry.objects.count()
    answers = on_paper(paper, learner)
    services.keep_entered(paper=paper, apprentice=learner, by=assessor, answers={})
    sheet = services.hand_in_entered(paper=paper, apprentice=learner, by=assessor, answers=answers)
    assert (sheet.apprentice, sheet.entered_by, sheet.attempt) == (learner, assessor, 1)
    assert sheet.handed_in
    assert sheet.marks == sheet.possible == 4
    (entry,) = Entry.objects.order_by("pk")[before:]
    (line,) = sentences.render([entry])
    assert line.sentence == (
        "Dilys Okafor-Reed entered \u201cDeveloper and bowl\u201d, attempt 1 from the paper of "
        "Tamsin Orle: 4 of 4 marks"
    )


def test_entering_twice_gives_the_first_result(
    learner: Person, set_paper: SetPaper, educator: Person, assessor: Person
) -> None:
    paper = set_paper()
    answers = on_paper(paper, learner)
    first, second = (
        services.hand_in_entered(paper=paper, apprentice=learner, by=educator, answers=typed)
        for typed in (answers, {})
    )
    assert first == second
    with pytest.raises(PaperError, match="has handed in this paper"):
        services.hand_in_entered(paper=paper, apprentice=learner, by=assessor, answers={})


def test_who_has_handed_in_is_not_entered_again(
    learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper()
    services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=learner), by=learner)
    services.start_sheet(paper=paper, apprentice=learner)
    with pytest.raises(PaperError, match="has handed in this paper"):
        services.keep_entered(paper=paper, apprentice=learner, by=educator, answers={})
    assert missing_on(paper, educator) == []


def test_nobody_enters_their_own_paper(
    academy: Academy, learner: Person, colleague: Person, set_paper: SetPaper
) -> None:
    MembershipFactory(academy=academy, person=learner, role=Role.ASSESSOR)
    paper = set_paper()
    with pytest.raises(PaperError, match="their own paper"):
        services.keep_entered(paper=paper, apprentice=learner, by=learner, answers={})
    assert [row.person for row in missing_on(paper, learner)] == [colleague]


def test_the_database_lets_nobody_enter_their_own_paper(
    learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper()
    sheet = services.keep_entered(paper=paper, apprentice=learner, by=educator, answers={})
    with refused_by_the_database():
        AnswerSheet.objects.filter(pk=sheet.pk).update(entered_by=learner)
    sheet.delete()
    with refused_by_the_database():
        AnswerSheet.objects.create(
            academy=paper.academy, paper=paper, apprentice=learner, attempt=1, entered_by=learner
        )


def test_no_address_enters_ones_own_paper(
    learner: Person,
    set_paper: SetPaper,
    also: Callable[..., None],
    signed_in: Callable[[Person], Client],
) -> None:
    also(learner, Role.EDUCATOR)
    paper = set_paper()
    data = {**fields(on_paper(paper, learner)), "act": "hand-in"}
    page = signed_in(learner).post(at("sheet-enter", paper, learner), data, follow=True)
    assert "Nobody enters their own paper." in page.content.decode()
    assert not AnswerSheet.objects.exists()


@pytest.mark.parametrize("who", ["verifier", "manager", "colleague"])
def test_only_educators_and_assessors_enter(
    who: str, learner: Person, set_paper: SetPaper, request: pytest.FixtureRequest
) -> None:
    person = request.getfixturevalue(who)
    with pytest.raises(PaperError, match="Only an educator or an assessor"):
        services.keep_entered(paper=set_paper(), apprentice=learner, by=person, answers={})


def test_nothing_is_entered_on_a_withdrawn_paper_or_for_an_outsider(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    make_member: Callable[..., Person],
) -> None:
    paper = set_paper()
    stranger = make_member(Role.APPRENTICE, name="Nobody Here")
    with pytest.raises(PaperError, match="no place"):
        services.keep_entered(paper=paper, apprentice=stranger, by=educator, answers={})
    services.withdraw_paper(paper=paper, by=educator)
    with pytest.raises(PaperError, match="withdrawn"):
        services.keep_entered(paper=paper, apprentice=learner, by=educator, answers={})


def test_while_it_is_entered_the_apprentice_does_not_write_and_no_clock_ends_it(
    learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(kind=Paper.Kind.TEST, minutes=10)
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    services.keep_entered(
        paper=paper, apprentice=learner, by=educator, answers={(1, "neutral"): "50"}
    )
    with pytest.raises(PaperError, match="being entered from your paper"):
        services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "31"})
    hour = timedelta(hours=1)
    now = timezone.now()
    AnswerSheet.objects.update(started_at=now - 2 * hour, ends_at=now - hour)
    assert not end_if_over(sheet).handed_in
    kept = {answer.field: answer.written for answer in sheet.answers.all()}
    assert kept == {"stock": "30", "neutral": "50"}


def test_taking_back_leaves_what_the_apprentice_wrote_and_nothing_else(
    learner: Person, colleague: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper()
    sheet = services.start_sheet(paper=paper, apprentice=learner)
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "30"})
    for person in (learner, colleague):
        services.keep_entered(
            paper=paper, apprentice=person, by=educator, answers={(1, "neutral"): "50"}
        )
        services.give_back(paper=paper, apprentice=person, by=educator)
    (left,) = AnswerSheet.objects.all()
    assert (left, left.entered_by) == (sheet, None)
    assert [answer.field for answer in left.answers.all()] == ["stock"]
    services.keep_answers(sheet=sheet, by=learner, answers={(1, "stock"): "31"})


def test_what_is_entered_after_the_last_day_is_not_late(
    learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(due_on=timezone.localdate())
    services.hand_in_entered(paper=paper, apprentice=learner, by=educator, answers={})
    Paper.objects.update(due_on=timezone.localdate() - timedelta(days=1))
    paper.refresh_from_db()
    (row,) = results_of(paper).rows
    assert not row.late


# The form number


def test_a_form_number_is_the_same_at_every_print_and_says_nothing(
    learner: Person, colleague: Person, set_paper: SetPaper
) -> None:
    paper, other = set_paper(), set_paper()
    numbers = [form_number(p, person) for p in (paper, other) for person in (learner, colleague)]
    assert len(set(numbers)) == 4
    assert numbers[0] == form_number(Paper.objects.get(pk=paper.pk), learner)
    assert all(looks_like_one(number) and len(number) == 7 for number in numbers)
    typed = numbers[0].lower().replace("-", " ")
    assert people_of(typed, paper, [colleague, learner]) == [learner]


def test_a_number_finds_the_form_whatever_has_become_of_it(
    learner: Person, colleague: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper, other = set_paper(title="This one"), set_paper(title="The other")
    services.hand_in_entered(paper=paper, apprentice=colleague, by=educator, answers={})
    missing = missing_on(paper, educator)

    def found(number: str) -> tuple[list[Person], str]:
        result = find(paper, number, missing)
        return list(result.people), result.sentence

    assert found(form_number(paper, learner)) == ([learner], "")
    assert found("tamsin") == ([learner], "")
    assert "Wren Hollis has handed in" in found(form_number(paper, colleague))[1]
    assert "belongs to \u201cThe other\u201d" in found(form_number(other, learner))[1]
    assert "Nobody who is missing" in found("K7M-4QX")[1]
    assert "for example K7M-4QX" in found("  ")[1]
    earlier = form_number(paper, learner)
    paper.edition = 2
    assert "printed before the paper was changed" in found(earlier)[1]


# The pages


def test_the_list_leads_by_number_to_the_form(
    learner: Person,
    colleague: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    client = signed_in(educator)
    page = client.get(at("paper-enter", paper)).text
    assert "2 papers are missing" in page
    answer = client.post(at("paper-enter", paper), {"find": form_number(paper, learner)})
    assert answer["Location"] == at("sheet-enter", paper, learner)
    form = client.get(answer["Location"]).text
    assert "Tamsin Orle" in form
    assert form.count("autofocus") == 1
    both = client.post(at("paper-enter", paper), {"find": "r"}).text
    assert "Whom do you mean?" in both
    wrong = client.post(at("paper-enter", paper), {"find": "xyz!"}).text
    assert 'value="xyz!"' in wrong
    assert "Nobody who is missing" in wrong


def test_a_field_is_read_while_it_is_typed_and_kept_when_it_is_left(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    client, url = signed_in(educator), at("sheet-enter", paper, learner)
    htmx = {"HX-Request": "true", "HX-Trigger-Name": "q1-stock"}
    assert "Reads as 30 g" in client.get(url, {"q1-stock": "30"}, headers=htmx).text
    assert AnswerSheet.objects.count() == 0
    kept = client.post(url, {"q1-stock": "30", "q1-neutral": ""}, headers=htmx).text
    assert "Reads as 30 g" in kept
    assert "2 fields open" in kept
    assert AnswerSheet.objects.get().entered_by == educator
    assert client.get(url, {"q9-x": "30"}, headers=htmx).status_code == 404
    assert 'value="30"' in client.get(url).text


def test_handing_in_shows_the_marks_and_the_next_one(
    learner: Person,
    colleague: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    client = signed_in(educator)
    typed = {**fields(on_paper(paper, learner)), "act": "hand-in"}
    page = client.post(at("sheet-enter", paper, learner), typed, follow=True).text
    assert "Tamsin Orle: Passed. All 4 marks" in page
    next_one = at("sheet-enter", paper, colleague)
    assert f'<a class="btn btn-primary" href="{next_one}" autofocus>Next: Wren Hollis' in page
    done = AnswerSheet.objects.get()
    sheet = client.get(reverse("exercises:sheet-detail", args=["larkmere", done.token])).text
    assert "entered from paper by Maren Tolvey" in sheet
    last = client.post(at("sheet-enter", paper, colleague), {"act": "hand-in"}, follow=True).text
    assert "Wren Hollis: Not yet" in last
    assert "Next:" not in last
    assert "Every paper is in" in client.get(at("paper-enter", paper)).text


def test_without_a_script_enter_keeps_the_draft(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    client, url = signed_in(educator), at("sheet-enter", paper, learner)
    page = client.post(url, {"q1-stock": "thirty", "act": "keep"}, follow=True).text
    assert 'value="thirty"' in page
    assert "This line is weighed" in page
    client.post(url, {"act": "back"})
    assert AnswerSheet.objects.count() == 0


def test_what_was_handed_in_meanwhile_is_said_and_not_overwritten(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    services.hand_in(sheet=services.start_sheet(paper=paper, apprentice=learner), by=learner)
    client, url = signed_in(educator), at("sheet-enter", paper, learner)
    for answer in (client.get(url, follow=True), client.post(url, {"act": "hand-in"}, follow=True)):
        assert "Tamsin Orle has handed in this paper" in answer.text
    assert AnswerSheet.objects.get().entered_by is None


def test_who_joined_late_is_told_to_be_printed_first(
    learner: Person,
    colleague: Person,
    set_paper: SetPaper,
    educator: Person,
    make_member: Callable[..., Person],
    cohort: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    late = make_member(Role.APPRENTICE, name="Ysolde Late")
    CohortPlaceFactory(cohort=cohort, person=late)
    client = signed_in(educator)
    assert "no numbers yet: print the paper first" in client.get(at("paper-enter", paper)).text
    page = client.get(at("sheet-enter", paper, late), follow=True).text
    assert "no questions of this paper yet" in page
    with pytest.raises(PaperError, match="no questions of this paper yet"):
        services.keep_entered(paper=paper, apprentice=late, by=educator, answers={})


def test_the_pages_ask_alike_for_1_and_for_40_apprentices(
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    cohort: Cohort,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES], same_numbers=True)
    client = signed_in(educator)

    def counts() -> list[int]:
        found = []
        for ask in (
            lambda: client.get(at("paper-enter", paper)),
            lambda: client.post(at("paper-enter", paper), {"find": "K7M-4QX"}),
            lambda: client.get(at("sheet-enter", paper, learner)),
        ):
            with CaptureQueriesContext(connection) as asked:
                ask()
            found.append(len(asked))
        return found

    few = counts()
    for n in range(39):
        person = make_member(Role.APPRENTICE, name=f"Learner {n:02}")
        CohortPlaceFactory(cohort=cohort, person=person)
        if n % 2:
            services.keep_entered(
                paper=paper, apprentice=person, by=educator, answers={(1, "stock"): "3"}
            )
    assert counts() == few
