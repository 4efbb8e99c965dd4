"""Appeals: 20 working days, in writing, always a blind second look, an answer within 15."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import Error, connection, transaction
from django.utils import timezone

from academy.assessment.blind import entries_readable
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Appeal, AppealAnswer, Assessment, SecondAsked
from academy.assessment.services.appealing import answer_appeal, appeal
from academy.assessment.services.ruling import rule
from academy.assessment.services.second import start_second_mark
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from academy.people.models import Academy, Person, Role
from academy.people.services import close_day, give_role
from tests.site.making import judged_head, second_mark
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client
    from time_machine import Traveller

    from academy.curriculum.models import ModuleVersion

# A Friday.
START = datetime(2027, 3, 5, 10, 0, tzinfo=ZoneInfo("Europe/London"))
WORDS = "The left side was done too; the photo shows it."


@pytest.fixture
def clock() -> Iterator[Traveller]:
    with time_machine.travel(START, tick=False) as coordinates:
        yield coordinates


@pytest.fixture
def not_yet(
    clock: Traveller, version: ModuleVersion, assessor: Person, apprentice: Person
) -> Assessment:
    return whole(judged_head(version, assessor, apprentice, level=1, overall=2))


def whole(row: Assessment) -> Assessment:
    return Assessment.objects.for_result().get(pk=row.pk)


def second_look(first: Assessment, colleague: Person, *, level: int) -> None:
    second_mark(whole(first), colleague, level=level, overall=2 if level < 3 else 4)


def test_an_appeal_may_be_made_within_20_working_days(
    clock: Traveller, not_yet: Assessment, apprentice: Person
) -> None:
    clock.move_to(START + timedelta(days=28, hours=12))
    assert appeal(assessment=not_yet, apprentice=apprentice, text=WORDS).pk


def test_on_the_21st_working_day_it_is_too_late(
    clock: Traveller, not_yet: Assessment, apprentice: Person
) -> None:
    clock.move_to(START + timedelta(days=31))
    with pytest.raises(AssessmentError, match="20 working days for an appeal ended on 2 Apr 2027"):
        appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)


def test_working_days_follow_the_academys_closed_days_table(
    clock: Traveller,
    not_yet: Assessment,
    apprentice: Person,
    academy: Academy,
    manager: Person,
) -> None:
    close_day(academy=academy, by=manager, day=date(2027, 3, 26), why="Good Friday")
    clock.move_to(START + timedelta(days=31))
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    assert made.answer_by == date(2027, 4, 26)


def test_the_answer_is_due_within_15_working_days(not_yet: Assessment, apprentice: Person) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    assert made.answer_by == date(2027, 3, 26)


def test_it_is_made_in_writing_by_the_apprentice_once(
    not_yet: Assessment,
    apprentice: Person,
    make_member: Callable[..., Person],
    entries: Callable[[], list[str]],
) -> None:
    with pytest.raises(AssessmentError, match="Say what you see"):
        appeal(assessment=not_yet, apprentice=apprentice, text="  ")
    other = make_member(Role.APPRENTICE)
    with pytest.raises(AssessmentError, match="Only the apprentice"):
        appeal(assessment=not_yet, apprentice=other, text=WORDS)
    entries()
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    assert appeal(assessment=whole(not_yet), apprentice=apprentice, text="Again.").pk == made.pk
    assert entries() == ["assessment.appeal.made", "assessment.second.asked"]


def test_a_competent_head_is_not_appealed_against(
    submitted: Assessment, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match=r"Only a .not yet. that stands"):
        appeal(assessment=whole(submitted), apprentice=apprentice, text=WORDS)


def test_always_a_blind_second_look(
    not_yet: Assessment, apprentice: Person, verifier: Person, colleague: Person
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    assert SecondAsked.objects.get().cause == SecondAsked.Cause.APPEAL
    assert _state(made) == Appeal.State.LOOK
    with pytest.raises(AssessmentError, match="always gets a blind second look"):
        answer_appeal(appeal=_fresh(made), verifier=verifier, reason="Seen.")
    start_second_mark(first=whole(not_yet), assessor=colleague)
    assert _state(made) == Appeal.State.LOOKING


def test_two_equal_marks_and_the_answer_is_that_it_stands(
    not_yet: Assessment, apprentice: Person, verifier: Person, colleague: Person
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    second_look(not_yet, colleague, level=1)
    assert _state(made) == Appeal.State.TO_ANSWER
    with pytest.raises(AssessmentError, match="Give the reason"):
        answer_appeal(appeal=_fresh(made), verifier=verifier, reason=" ")
    answer = answer_appeal(appeal=_fresh(made), verifier=verifier, reason="Both saw the gap.")
    assert answer.decision == AppealAnswer.Decision.STANDS
    assert _state(made) == Appeal.State.ANSWERED


@pytest.mark.parametrize(
    ("ruling", "decision"), [("first", "stands"), ("second", "upheld"), ("one_more", "one_more")]
)
def test_different_marks_go_through_the_verifiers_ruling(
    not_yet: Assessment,
    apprentice: Person,
    verifier: Person,
    colleague: Person,
    ruling: str,
    decision: str,
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    second_look(not_yet, colleague, level=4)
    assert _state(made) == Appeal.State.RULING
    with pytest.raises(AssessmentError, match="Give the ruling first"):
        answer_appeal(appeal=_fresh(made), verifier=verifier, reason="Seen.")
    first = whole(not_yet)
    assert first.second is not None
    rule(first=first, second=first.second, verifier=verifier, decision=ruling, reason="Both seen.")
    answer = answer_appeal(appeal=_fresh(made), verifier=verifier, reason="As ruled.")
    assert answer.decision == decision


def test_the_answer_is_a_row_with_its_reason_that_never_changes(
    not_yet: Assessment, apprentice: Person, verifier: Person, colleague: Person
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    second_look(not_yet, colleague, level=1)
    first = answer_appeal(appeal=_fresh(made), verifier=verifier, reason="Both saw the gap.")
    again = answer_appeal(appeal=_fresh(made), verifier=verifier, reason="Otherwise.")
    assert (again.pk, again.reason) == (first.pk, "Both saw the gap.")
    with pytest.raises(AuditError):
        first.save()
    for table in ("appeal", "appealanswer"):
        with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM assessment_{table}")  # noqa: S608


def test_nobody_answers_on_their_own_work(
    not_yet: Assessment,
    apprentice: Person,
    assessor: Person,
    colleague: Person,
    academy: Academy,
    manager: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    second_look(not_yet, colleague, level=1)
    for person in (assessor, colleague, apprentice):
        give_role(person=person, academy=academy, role=Role.VERIFIER, by=manager)
        with pytest.raises(AssessmentError, match="gave neither mark"):
            answer_appeal(appeal=_fresh(made), verifier=person, reason="Mine.")
        sent = signed_in(person).post(url("appeal-answer", token=made.token), {"reason": "Mine."})
        assert sent.status_code == 403
        with pytest.raises(Error), transaction.atomic():
            AppealAnswer.objects.create(
                appeal=made, verifier=person, decision="upheld", reason="Mine."
            )


def test_the_verifier_who_ruled_before_it_does_not_answer_it(
    clock: Traveller,
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    verifier: Person,
    colleague: Person,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    """Two have looked and the ruling is what the appeal is about, so a fresh eye answers it."""
    first = judged_head(version, assessor, apprentice, level=1, overall=1, drawn=True)
    second = second_mark(whole(first), colleague, level=4)
    rule(first=first, second=second, verifier=verifier, decision="first", reason="The photo.")
    clock.shift(timedelta(hours=1))
    made = appeal(assessment=whole(first), apprentice=apprentice, text=WORDS)
    at = url("appeal-answer", token=made.token)
    with pytest.raises(AssessmentError, match="did not rule on them before"):
        answer_appeal(appeal=_fresh(made), verifier=verifier, reason="As ruled.")
    assert signed_in(verifier).post(at, {"reason": "As ruled."}).status_code == 403
    page = signed_in(verifier).get(url("appeal-detail", token=made.token)).content.decode()
    assert "did not rule on them before the appeal" in page
    assert at not in page
    with refused_by_the_database():
        AppealAnswer.objects.create(
            appeal=made, verifier=verifier, decision="stands", reason="As ruled."
        )
    other = make_member(Role.VERIFIER, name="Pia Harrow")
    answer = answer_appeal(appeal=_fresh(made), verifier=other, reason="The gap is on the photo.")
    assert answer.decision == "stands"


def test_the_apprentice_reads_dates_and_never_who_looks(
    not_yet: Assessment,
    apprentice: Person,
    colleague: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    browser = signed_in(apprentice)
    page = browser.get(url("appeal-new", token=not_yet.token)).content.decode()
    assert "20 working days left" in page
    sent = browser.post(url("appeal-new", token=not_yet.token), {"text": WORDS}, follow=True)
    start_second_mark(first=whole(not_yet), assessor=colleague)
    words = browser.get(sent.redirect_chain[-1][0]).content.decode()
    assert "Being looked at by a second assessor" in words
    assert "26 Mar 2027, 15 working days left" in words
    assert colleague.name not in words


def test_who_may_still_be_asked_to_look_reads_nothing_of_it(
    not_yet: Assessment,
    apprentice: Person,
    colleague: Person,
    academy: Academy,
    manager: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    made = appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    give_role(person=colleague, academy=academy, role=Role.EDUCATOR, by=manager)
    browser = signed_in(colleague)
    assert browser.get(url("appeal-detail", token=made.token)).status_code == 404
    entries = Entry.objects.filter(subject_type="assessment.appeal")
    assert entries.count() == 1
    assert not entries_readable(entries, colleague, academy).exists()
    assert "No appeal was made." in browser.get(url("appeal-list")).content.decode()


def test_the_verifiers_first_page_counts_the_working_days_down(
    clock: Traveller,
    not_yet: Assessment,
    apprentice: Person,
    verifier: Person,
    academy: Academy,
    signed_in: Callable[[Person], Client],
) -> None:
    appeal(assessment=not_yet, apprentice=apprentice, text=WORDS)
    told = {0: "15 working days left", 21: "last day today", 24: "1 working day late"}
    for days, words in told.items():
        clock.move_to(START + timedelta(days=days))
        assert words in signed_in(verifier).get(f"/{academy.slug}/").content.decode()


def _fresh(row: Appeal) -> Appeal:
    return Appeal.objects.for_list().get(pk=row.pk)


def _state(row: Appeal) -> Appeal.State:
    return _fresh(row).state


def test_an_appeal_for_a_head_of_somebody_else_is_refused_by_the_database(
    not_yet: Assessment, colleague: Person
) -> None:
    with pytest.raises(Error), transaction.atomic():
        Appeal.objects.create(
            academy=not_yet.academy,
            assessment=not_yet,
            apprentice=colleague,
            text=WORDS,
            answer_by=timezone.localdate(),
        )
