"""A verifier upholds a sign-off, asks for action, or overturns it; never one of their own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from academy.assessment import consequences
from academy.assessment.errors import AssessmentError
from academy.assessment.models import SignOff, Verification
from academy.assessment.queries import place_of
from academy.assessment.results import Standing
from academy.assessment.services.signing import Ticks, sign_off as sign_off_again, verify
from academy.people.models import Academy, Person, Role
from tests.site.factories import MembershipFactory

if TYPE_CHECKING:
    from django.test import Client


@pytest.fixture
def desk(verifier: Person, signed_in: Callable[[Person], Client]) -> Client:
    return signed_in(verifier)


@pytest.fixture
def at(sign_off: SignOff, url: Callable[..., str]) -> str:
    return url("verification-new", token=sign_off.token)


@pytest.mark.parametrize(
    ("data", "state"),
    [
        ({"result": "upheld"}, Standing.COMPETENT),
        ({"result": "action_needed", "text": "Add the nape.", "due_on": "+7"}, Standing.VERIFY),
        # Its head counts no more, and nothing was practised in this test.
        (
            {"result": "overturned", "text": "The head was another's.", "confirm": "1"},
            Standing.NOT_STARTED,
        ),
    ],
)
def test_a_decision_is_recorded_with_one_entry(
    sign_off: SignOff,
    desk: Client,
    at: str,
    entries: Callable[[], list[str]],
    data: dict[str, str],
    state: Standing,
) -> None:
    if "due_on" in data:
        data = {**data, "due_on": (timezone.localdate() + timedelta(days=7)).isoformat()}
    desk.post(at, data)
    assert Verification.objects.get().result == data["result"]
    assert entries() == [f"assessment.signoff.{data['result']}"]
    place = place_of(sign_off.academy, sign_off.apprentice, sign_off.module_version)
    assert place.standing is state


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({}, "Nothing chosen yet"),
        ({"result": "maybe"}, "not on the list"),
        ({"result": "overturned", "text": " "}, "why it cannot stand"),
        ({"result": "action_needed", "text": "Nape."}, "Give the day"),
        ({"result": "action_needed", "text": "Nape.", "due_on": "2020-01-01"}, "is past"),
        ({"result": "action_needed", "text": "Nape.", "due_on": "soon"}, "not a day"),
        ({"result": "overturned", "text": "x" * 2001}, "Too long"),
    ],
)
def test_a_decision_that_cannot_be_is_refused(
    desk: Client, at: str, data: dict[str, str], sentence: str
) -> None:
    page = desk.post(at, data).content.decode()
    assert sentence in page
    assert not Verification.objects.exists()


def test_all_that_a_decision_lacks_is_said_together(desk: Client, at: str) -> None:
    page = desk.post(at, {"result": "action_needed"}).content.decode()
    assert "Say what is to be done" in page
    assert "Give the day" in page


def test_a_field_needed_for_some_decisions_is_not_said_to_stay_empty(desk: Client, at: str) -> None:
    page = desk.get(at).content.decode()
    assert "Needed for an action or to overturn" in page
    assert "may stay empty" not in page


def test_the_evidence_shows_every_box_of_the_feedback_by_its_name(desk: Client, at: str) -> None:
    page = desk.get(at).content.decode()
    for box in (
        "<b>Seen:</b> the whole head, gloves changed",
        "<b>Against:</b> A1, level 3",
        "<b>Why:</b> laid out within reach",
        "<b>Next:</b> the same on a full head, 1 time, by",
    ):
        assert box in page


def test_an_overturned_sign_off_is_not_upheld_again(sign_off: SignOff, verifier: Person) -> None:
    verify(sign_off=sign_off, verifier=verifier, result="overturned", text="another's head")
    with pytest.raises(AssessmentError, match="was overturned"):
        verify(sign_off=sign_off, verifier=verifier, result="upheld")


def test_nobody_is_signed_off_again_on_the_heads_of_an_overturned_sign_off(
    sign_off: SignOff, verifier: Person
) -> None:
    verify(sign_off=sign_off, verifier=verifier, result="overturned", text="another's head")
    with pytest.raises(AssessmentError, match="0 of 1 heads"):
        sign_off_again(
            academy=sign_off.academy,
            assessor=sign_off.assessor,
            apprentice=sign_off.apprentice,
            version=sign_off.module_version,
            ticks=Ticks(valid=True, sufficient=True, authentic=True, current=True),
            method=SignOff.Method.PASSWORD,
        )


def test_overturning_sets_off_its_consequences_in_the_same_transaction(
    sign_off: SignOff, verifier: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise AssessmentError("The certificate could not be ended.")

    monkeypatch.setattr(consequences, "_of_overturning", [fail])
    with pytest.raises(AssessmentError, match="could not be ended"):
        verify(sign_off=sign_off, verifier=verifier, result="overturned", text="another's head")
    assert not Verification.objects.exists()


def test_nobody_verifies_their_own_decision(
    academy: Academy,
    sign_off: SignOff,
    assessor: Person,
    chair: Client,
    at: str,
    url: Callable[..., str],
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.VERIFIER)
    with pytest.raises(AssessmentError, match="had a part in"):
        verify(sign_off=sign_off, verifier=assessor, result="upheld")
    assert chair.get(at).status_code == 403
    assert chair.post(at, {"result": "upheld"}).status_code == 403
    assert not Verification.objects.exists()
    page = chair.get(url("verification-list")).content.decode()
    assert "you had a part in it" in page
    assert at not in page


def test_the_database_lets_no_signer_or_apprentice_verify(
    academy: Academy, sign_off: SignOff, assessor: Person, apprentice: Person
) -> None:
    for person in (assessor, apprentice):
        with pytest.raises(DatabaseError), transaction.atomic():
            Verification.objects.create(
                academy=academy, sign_off=sign_off, verifier=person, result="upheld"
            )


@pytest.mark.parametrize("role", [Role.EDUCATOR, Role.MANAGER, Role.ASSESSOR])
def test_only_a_verifier_verifies(
    sign_off: SignOff, make_member: Callable[..., Person], role: Role
) -> None:
    with pytest.raises(AssessmentError):
        verify(sign_off=sign_off, verifier=make_member(role), result="upheld")


def test_a_sign_off_of_another_academy_is_not_found(
    sign_off: SignOff,
    other_academy: Academy,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    stranger = signed_in(make_member(Role.VERIFIER, academy=other_academy))
    path = f"/elsewhere/assessment/decisions/{sign_off.token}/"
    assert stranger.get(path).status_code == 404
    assert stranger.post(path, {"result": "upheld"}).status_code == 404


def test_a_sign_off_among_the_first_of_its_assessor_must_be_looked_at(
    sign_off: SignOff, desk: Client, url: Callable[..., str]
) -> None:
    page = desk.get(url("verification-list")).content.decode()
    assert "1 decision must be looked at" in page
    assert "first sign-offs" in page
