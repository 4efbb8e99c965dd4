"""An appeal taken back: before the second look is begun, and never by deleting."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.db import Error, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Appeal,
    AppealAnswer,
    AppealWithdrawal,
    Assessment,
    SecondAsked,
)
from academy.assessment.musts import Musts
from academy.assessment.queries import place_of
from academy.assessment.services.appealing import answer_appeal, appeal, withdraw_appeal
from academy.assessment.services.second import (
    ask_for_second_mark,
    assign_second_mark,
    start_second_mark,
)
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.people.models import Academy, Person, Role
from academy.web.days import written
from tests.site.making import draft_head, full_boxes, judged_head, mark_all

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion

Signed = Callable[[Person], "Client"]
Url = Callable[..., str]
WORDS = "The left side was done too; the photo shows it."


@pytest.fixture
def not_yet(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    return whole(judged_head(version, assessor, apprentice, level=1, overall=2))


@pytest.fixture
def made(not_yet: Assessment, apprentice: Person) -> Appeal:
    return appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)


def whole(row: Assessment) -> Assessment:
    return Assessment.objects.for_result().get(pk=row.pk)


def fresh(row: Appeal) -> Appeal:
    return Appeal.objects.for_list().get(pk=row.pk)


def test_the_outcome_is_as_before_and_the_second_look_is_called_off(
    not_yet: Assessment, made: Appeal, apprentice: Person, colleague: Person
) -> None:
    before = place_of(not_yet.academy, apprentice, not_yet.module_version)
    assert whole(not_yet).shown == "second"
    assert [head.result.value for head in before.evidence.heads] == ["second_look"]
    row = withdraw_appeal(appeal=made, apprentice=apprentice, reason="I looked again.")
    assert row.calls_off == SecondAsked.objects.get()
    assert whole(not_yet).shown == "notyet"
    assert not Assessment.objects.all().waiting_for_second().exists()
    after = place_of(not_yet.academy, apprentice, not_yet.module_version)
    assert [head.result.value for head in after.evidence.heads] == ["not_yet"]
    with pytest.raises(AssessmentError, match="No second mark is asked for"):
        start_second_mark(first=whole(not_yet), assessor=colleague)


def test_it_is_a_row_with_one_entry_and_nothing_is_deleted(
    made: Appeal, apprentice: Person, entries: Callable[[], list[str]]
) -> None:
    entries()
    row = withdraw_appeal(appeal=made, apprentice=apprentice)
    assert withdraw_appeal(appeal=made, apprentice=apprentice, reason="Again.") == row
    assert entries() == ["assessment.appeal.withdrawn"]
    assert fresh(made).state == Appeal.State.WITHDRAWN
    assert SecondAsked.objects.count() == 1
    with pytest.raises(AuditError):
        row.delete()
    (line,) = render(list(Entry.objects.filter(action="assessment.appeal.withdrawn")))
    assert f"took back the appeal of {apprentice}" in str(line)


def test_a_look_that_was_given_to_somebody_and_not_begun_is_called_off_too(
    not_yet: Assessment, made: Appeal, apprentice: Person, colleague: Person, educator: Person
) -> None:
    assign_second_mark(first=whole(not_yet), assessor=colleague, by=educator)
    withdraw_appeal(appeal=made, apprentice=apprentice)
    with pytest.raises(AssessmentError, match="No second mark is asked for"):
        start_second_mark(first=whole(not_yet), assessor=colleague)


def test_once_the_second_look_is_begun_it_runs_on(
    not_yet: Assessment, made: Appeal, apprentice: Person, colleague: Person, verifier: Person
) -> None:
    draft = start_second_mark(first=whole(not_yet), assessor=colleague)
    with pytest.raises(AssessmentError, match="has begun to look at this head") as refused:
        withdraw_appeal(appeal=made, apprentice=apprentice)
    assert colleague.name not in refused.value.message
    mark_all(draft, level=1, overall=2)
    submit(assessment=draft, by=colleague, points=[full_boxes()])
    with pytest.raises(AssessmentError, match="has begun to look"):
        withdraw_appeal(appeal=made, apprentice=apprentice)
    answer_appeal(appeal=fresh(made), verifier=verifier, reason="Both saw the same.")
    with pytest.raises(AssessmentError, match="is answered"):
        withdraw_appeal(appeal=made, apprentice=apprentice)


def test_where_two_had_looked_before_it_is_taken_back_until_it_is_answered(
    version: ModuleVersion, assessor: Person, colleague: Person, apprentice: Person
) -> None:
    first = draft_head(version, assessor, apprentice)
    mark_all(first, level=1, overall=2)
    ask_for_second_mark(assessment=first, by=assessor, reason="The light changed.")
    submit(assessment=first, by=assessor, points=[full_boxes()])
    draft = start_second_mark(first=whole(first), assessor=colleague)
    mark_all(draft, level=1, overall=2)
    submit(assessment=draft, by=colleague, points=[full_boxes()])
    made = appeal(assessment=whole(first), apprentice=apprentice, text=WORDS)
    row = withdraw_appeal(appeal=made, apprentice=apprentice)
    assert row.calls_off is None
    assert whole(first).shown == "notyet"


def test_it_is_not_made_a_second_time_and_not_answered(
    not_yet: Assessment, made: Appeal, apprentice: Person, verifier: Person
) -> None:
    withdraw_appeal(appeal=made, apprentice=apprentice)
    today = written(timezone.localdate())
    with pytest.raises(AssessmentError, match=f"took this appeal back on {today}"):
        appeal(assessment=whole(not_yet), apprentice=apprentice, text=WORDS)
    with pytest.raises(AssessmentError, match="Nothing is to be answered"):
        answer_appeal(appeal=made, verifier=verifier, reason="x")


def test_only_the_apprentice_takes_it_back(
    made: Appeal,
    apprentice: Person,
    educator: Person,
    verifier: Person,
    make_member: Callable[..., Person],
    signed_in: Signed,
    url: Url,
) -> None:
    at = url("appeal-withdraw", token=made.token)
    other = make_member(Role.APPRENTICE)
    for person, status in ((educator, 403), (verifier, 403), (other, 404)):
        with pytest.raises(AssessmentError, match="Only the apprentice who made"):
            withdraw_appeal(appeal=made, apprentice=person)
        assert signed_in(person).get(at).status_code == status
        assert signed_in(person).post(at, {"reason": "x"}).status_code == status
    assert not AppealWithdrawal.objects.exists()


def test_the_database_refuses_what_comes_too_late_or_calls_off_another_look(
    not_yet: Assessment, made: Appeal, colleague: Person, verifier: Person, apprentice: Person
) -> None:
    look = SecondAsked.objects.get()
    with pytest.raises(Error), transaction.atomic():
        AppealWithdrawal.objects.create(appeal=made)
    row = withdraw_appeal(appeal=made, apprentice=apprentice)
    assert row.calls_off == look
    with pytest.raises(Error), transaction.atomic():
        AppealAnswer.objects.create(appeal=made, verifier=verifier, decision="stands", reason="x")


def test_the_database_refuses_it_once_the_look_is_begun(
    not_yet: Assessment, made: Appeal, colleague: Person
) -> None:
    start_second_mark(first=whole(not_yet), assessor=colleague)
    with pytest.raises(Error), transaction.atomic():
        AppealWithdrawal.objects.create(appeal=made, calls_off=SecondAsked.objects.get())


def test_the_apprentice_takes_it_back_on_a_page_and_reads_what_follows(
    made: Appeal, apprentice: Person, signed_in: Signed, url: Url
) -> None:
    phone, at = signed_in(apprentice), url("appeal-withdraw", token=made.token)
    detail = url("appeal-detail", token=made.token)
    assert at in phone.get(detail).content.decode()
    asked = phone.get(at).content.decode()
    assert "is not made a second time" in asked
    page = phone.post(at, {"reason": "I saw the gap on the photo."}, follow=True).content.decode()
    assert "Taken back. The outcome is as before." in page
    assert "I saw the gap on the photo." in page
    assert "the second look it asked for is called off" in page
    assert "working days left" not in page
    assert at not in page
    assert "took back the appeal" in page
    assert "taken back" in phone.get(url("appeal-list")).content.decode()
    again = phone.get(url("appeal-new", token=made.assessment.token))
    assert again["Location"] == detail


def test_where_it_runs_on_the_page_says_why_and_offers_nothing(
    not_yet: Assessment,
    made: Appeal,
    apprentice: Person,
    colleague: Person,
    signed_in: Signed,
    url: Url,
) -> None:
    start_second_mark(first=whole(not_yet), assessor=colleague)
    phone, at = signed_in(apprentice), url("appeal-withdraw", token=made.token)
    assert at not in phone.get(url("appeal-detail", token=made.token)).content.decode()
    for page in (phone.get(at), phone.post(at, {"reason": ""})):
        text = page.content.decode()
        assert "has begun to look at this head" in text
        assert "Take the appeal back</button>" not in text


def test_the_days_for_an_answer_vanish_from_the_first_pages(
    made: Appeal,
    apprentice: Person,
    verifier: Person,
    academy: Academy,
    signed_in: Signed,
) -> None:
    home = f"/{academy.slug}/"
    assert "working days left" in signed_in(verifier).get(home).content.decode()
    assert "Your appeal: answer by" in signed_in(apprentice).get(home).content.decode()
    withdraw_appeal(appeal=made, apprentice=apprentice)
    assert "working days left" not in signed_in(verifier).get(home).content.decode()
    assert "Your appeal: answer by" not in signed_in(apprentice).get(home).content.decode()


def test_a_later_sign_off_need_not_be_looked_at_for_it(
    not_yet: Assessment, made: Appeal, apprentice: Person, academy: Academy
) -> None:
    place = (apprentice.pk, not_yet.module_version.module_id)
    assert place in Musts.of(academy).appealed
    withdraw_appeal(appeal=made, apprentice=apprentice)
    assert place not in Musts.of(academy).appealed


def test_a_head_begun_again_does_not_ask_for_the_look_that_was_called_off(
    not_yet: Assessment, made: Appeal, apprentice: Person, assessor: Person
) -> None:
    """Its assessor finds within the time that it was submitted by mistake."""
    withdraw_appeal(appeal=made, apprentice=apprentice, reason="")
    withdraw(assessment=not_yet, by=assessor, reason="Levels of another head.")
    again = begin_again(withdrawn=not_yet, by=assessor)
    assert not again.second_asked.exists()
