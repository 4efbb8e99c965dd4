"""Trade rule 5.4: what a verifier looks at first, who may, actions, and what overturning does."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.db import DatabaseError, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import SignOff, Verification, VerifierNamed
from academy.assessment.services.appealing import appeal
from academy.assessment.services.ruling import rule
from academy.assessment.services.signing import verify
from academy.assessment.services.submitting import submit
from academy.assessment.services.verifying import answer_action, name_verifier
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.assessment.verifying import waiting_for
from academy.awards.queries import state_of
from academy.awards.services import issue_certificate
from academy.awards.state import State
from academy.curriculum.content import PracticeUnit
from academy.people.models import Academy, Role
from academy.practice.services import Sitting, log_session
from academy.practice.targets import Done
from academy.web.tokens import new_token
from tests.site.factories import MembershipFactory
from tests.site.making import (
    award_of,
    full_boxes,
    judged_head,
    mark_all,
    second_mark,
    sign_on,
    signed_off,
    upheld,
)

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


@pytest.fixture
def old_hand(
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    make_member: Callable[..., Person],
) -> Person:
    """An assessor whose first five sign-offs were looked at."""
    for _ in range(5):
        upheld(signed_off(version, assessor, make_member(Role.APPRENTICE)), verifier)
    return assessor


def whys(academy: Academy, person: Person) -> list[str]:
    return [row.why for row in waiting_for(academy, person)]


def test_always_looked_at_the_first_5_signoffs_of_a_new_assessor(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    make_member: Callable[..., Person],
) -> None:
    for _ in range(6):
        signed_off(version, assessor, make_member(Role.APPRENTICE))
    assert whys(academy, verifier) == ["among this assessor's first sign-offs"] * 5 + [""]


def test_always_looked_at_every_reassessment_after_an_appeal(
    academy: Academy,
    version: ModuleVersion,
    old_hand: Person,
    verifier: Person,
    apprentice: Person,
    colleague: Person,
) -> None:
    missed = judged_head(version, old_hand, apprentice, level=1, overall=1)
    appeal(assessment=missed, apprentice=apprentice, text="The nape was done.")
    second_mark(missed, colleague, level=1, overall=1)
    log_session(
        academy=academy,
        apprentice=apprentice,
        version=version,
        sitting=Sitting(
            started_at=timezone.now(),
            minutes=60,
            units=[Done(PracticeUnit.HEADS, 2)],
            zones=["crown", "nape"],
            criteria=["A1", "A2"],
        ),
        client_key=new_token(),
    )
    with time_machine.travel(timezone.now() + timedelta(days=8), tick=False):
        judged_head(version, old_hand, apprentice)
        sign_on(version, old_hand, apprentice)
        assert whys(academy, verifier) == ["a head after an appeal"]


def test_always_looked_at_every_amended_decision(
    academy: Academy,
    version: ModuleVersion,
    old_hand: Person,
    verifier: Person,
    apprentice: Person,
    colleague: Person,
) -> None:
    head = judged_head(version, old_hand, apprentice, overall=5, drawn=True)
    second = second_mark(head, colleague, level=1, overall=1)
    rule(first=head, second=second, verifier=verifier, decision="first", reason="The photo.")
    sign_on(version, old_hand, apprentice)
    assert whys(academy, verifier) == ["a head that was withdrawn or ruled on"]


def test_always_looked_at_what_rests_on_a_head_that_was_withdrawn_and_begun_again(
    academy: Academy,
    version: ModuleVersion,
    old_hand: Person,
    verifier: Person,
    apprentice: Person,
) -> None:
    mistaken = judged_head(version, old_hand, apprentice, level=1, overall=1)
    withdraw(assessment=mistaken, by=old_hand, reason="Levels of another head.")
    again = begin_again(withdrawn=mistaken, by=old_hand)
    mark_all(again, level=4, overall=4)
    submit(assessment=again, by=old_hand, points=[full_boxes()])
    sign_on(version, old_hand, apprentice)
    assert whys(academy, verifier) == ["a head that was withdrawn or ruled on"]


def test_always_looked_at_what_replaces_an_overturned_decision(
    academy: Academy,
    version: ModuleVersion,
    old_hand: Person,
    verifier: Person,
    apprentice: Person,
) -> None:
    row = signed_off(version, old_hand, apprentice)
    verify(sign_off=row, verifier=verifier, result="overturned", text="another's head")
    signed_off(version, old_hand, apprentice)
    assert whys(academy, verifier) == ["replaces an overturned decision"]


def test_the_rest_may_be_looked_at(
    academy: Academy,
    version: ModuleVersion,
    old_hand: Person,
    verifier: Person,
    apprentice: Person,
) -> None:
    signed_off(version, old_hand, apprentice)
    assert whys(academy, verifier) == [""]


def test_journey_14_an_own_decision_is_greyed_refused_and_given_to_another_by_the_manager(
    academy: Academy,
    sign_off: SignOff,
    assessor: Person,
    verifier: Person,
    manager: Person,
    signed_in: SignedIn,
    url: Url,
    entries: Callable[[], list[str]],
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.VERIFIER)
    own = signed_in(assessor)
    at = url("verification-new", token=sign_off.token)
    page = own.get(url("verification-list")).content.decode()
    assert "you had a part in it; a manager names another verifier" in page
    assert at not in page
    shut = own.get(at)
    assert shut.status_code == 403
    assert "You had a part in this decision" in shut.content.decode()
    assert own.post(at, {"result": "upheld"}).status_code == 403
    entries()
    office, naming = signed_in(manager), url("verifier-name", token=sign_off.token)
    assert naming in office.get(url("verification-list")).content.decode()
    choices = office.get(naming).content.decode()
    assert "Ines Carradine" in choices
    assert f'value="{assessor.token}"' not in choices
    office.post(naming, {"verifier": verifier.token, "reason": "Dilys marked the head."})
    assert entries() == ["assessment.signoff.verifier_named"]
    assert "Ines Carradine verifies it" in own.get(url("verification-list")).content.decode()
    desk = signed_in(verifier)
    assert "Dilys marked the head." in desk.get(url("verification-list")).content.decode()
    desk.post(at, {"result": "upheld"})
    assert Verification.objects.get().verifier == verifier


def test_once_one_is_named_no_other_verifier_decides(
    sign_off: SignOff, verifier: Person, manager: Person, make_member: Callable[..., Person]
) -> None:
    other = make_member(Role.VERIFIER, name="Pia Harrow")
    name_verifier(sign_off=sign_off, verifier=other, by=manager, reason="In turn.")
    with pytest.raises(AssessmentError):
        verify(sign_off=sign_off, verifier=verifier, result="upheld")
    verify(sign_off=sign_off, verifier=other, result="upheld")


def test_nobody_is_named_for_what_they_had_a_part_in(
    academy: Academy, sign_off: SignOff, assessor: Person, verifier: Person, manager: Person
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.VERIFIER)
    with pytest.raises(AssessmentError, match="had a part"):
        name_verifier(sign_off=sign_off, verifier=assessor, by=manager, reason="In turn.")
    with pytest.raises(AssessmentError, match="no verifier here"):
        name_verifier(sign_off=sign_off, verifier=manager, by=manager, reason="In turn.")
    with pytest.raises(AssessmentError, match="Only a manager"):
        name_verifier(sign_off=sign_off, verifier=verifier, by=verifier, reason="In turn.")
    for person in (assessor, sign_off.apprentice):
        with pytest.raises(DatabaseError), transaction.atomic():
            VerifierNamed.objects.create(
                sign_off=sign_off, verifier=person, by=manager, reason="In turn."
            )


def test_the_database_lets_nobody_verify_whose_mark_it_rests_on(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    apprentice: Person,
) -> None:
    """Signed by one, resting on a head of another: neither verifies it."""
    judged_head(version, assessor, apprentice)
    row = sign_on(version, assessor, apprentice)
    assert row.assessments.get().assessor == assessor
    with pytest.raises(DatabaseError), transaction.atomic():
        Verification.objects.create(
            academy=academy, sign_off=row, verifier=assessor, result="upheld"
        )


def test_an_action_is_answered_by_the_assessor_and_closed_by_the_verifier(
    sign_off: SignOff,
    assessor: Person,
    verifier: Person,
    chair: Client,
    signed_in: SignedIn,
    url: Url,
    entries: Callable[[], list[str]],
) -> None:
    asked = verify(
        sign_off=sign_off,
        verifier=verifier,
        result="action_needed",
        text="The date of head 1 is missing.",
        due_on=timezone.localdate() + timedelta(days=7),
    )
    at = url("action-answer", token=sign_off.token)
    today = chair.get("/larkmere/").content.decode()
    assert "The date of head 1 is missing." in today
    assert at in today
    entries()
    chair.post(at, {"text": "Added, it was the 14th."})
    assert entries() == ["assessment.signoff.answered"]
    assert asked.answer.by == assessor
    assert at not in chair.get("/larkmere/").content.decode()
    with pytest.raises(AssessmentError, match="was answered"):
        answer_action(action=asked, by=assessor, text="Again.")
    desk = signed_in(verifier)
    assert "action answered" in desk.get(url("verification-list")).content.decode()
    check = url("verification-new", token=sign_off.token)
    assert "Added, it was the 14th." in desk.get(check).content.decode()
    desk.post(check, {"result": "upheld"})
    assert waiting_for(sign_off.academy, verifier) == []
    with pytest.raises(AssessmentError, match="closed this action"):
        answer_action(action=asked, by=assessor, text="Too late.")


def test_another_assessor_answers_no_action_of_a_colleague(
    sign_off: SignOff, colleague: Person, signed_in: SignedIn, url: Url
) -> None:
    assert signed_in(colleague).get(url("action-answer", token=sign_off.token)).status_code == 403


def test_overturning_names_its_consequences_before_it_is_confirmed(
    academy: Academy,
    educator: Person,
    manager: Person,
    sign_off: SignOff,
    verifier: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    upheld(sign_off, verifier)
    award = award_of(academy, educator, sign_off.module_version)
    certificate = issue_certificate(
        academy=academy, award=award, holder=sign_off.apprentice, by=manager
    )
    desk, at = signed_in(verifier), url("verification-new", token=sign_off.token)
    page = desk.post(at, {"result": "overturned", "text": "another's head"}).content.decode()
    assert f"Certificate {certificate.number}, The test award, of Tamsin Orle lapses" in page
    assert "evidence no more" in page
    assert Verification.objects.filter(result="overturned").count() == 0
    assert state_of(certificate).state is State.VALID
    desk.post(at, {"result": "overturned", "text": "another's head", "confirm": "1"})
    certificate = type(certificate).objects.get(pk=certificate.pk)
    assert state_of(certificate).state is State.LAPSED
