from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Invitation, Person, Role
from tests.site.factories import CohortFactory

if TYPE_CHECKING:
    from django.test import Client

GOOD: dict[str, Any] = {"email": "pia@example.test", "name": "Pia Harrow", "role": "apprentice"}


def test_an_invitation_is_mailed_once_and_recorded_once(
    academy: Academy, manager: Person, plover: Cohort, one_entry: Any
) -> None:
    with one_entry("people.invitation.sent"):
        invitation = services.invite(academy=academy, by=manager, cohort=plover, **GOOD)
    assert [message.to for message in mail.outbox] == [["pia@example.test"]]
    body = mail.outbox[0].body
    assert f"http://testserver/invitation/{invitation.secret}/" in body
    assert "Plover" in body
    assert "Odile Farrant" in body


def test_names_with_signs_stand_in_the_mail_as_they_are(invited: Callable[..., Any]) -> None:
    invited(name="Aoife O'Hara & Co")
    assert "Aoife O'Hara & Co" in mail.outbox[0].body


def test_only_a_manager_of_the_academy_invites(
    academy: Academy, educator: Person, make_member: Callable[..., Person], other_academy: Academy
) -> None:
    elsewhere = make_member(Role.MANAGER, academy=other_academy)
    for person in (educator, elsewhere):
        with pytest.raises(PeopleError, match="Only a manager"):
            services.invite(academy=academy, by=person, **GOOD)
    assert not Invitation.objects.exists()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"email": ""}, "email"),
        ({"email": "pia"}, "email"),
        ({"email": f"{'p' * 250}@example.test"}, "email"),
        ({"name": ""}, "name"),
        ({"name": "P" * 121}, "name"),
        ({"name": "Pia\r\nBcc: all@example.test"}, "name"),
        ({"role": "head of hair"}, "role"),
    ],
)
def test_a_bad_word_is_refused_beside_its_field(
    academy: Academy, manager: Person, changed: dict[str, str], field: str
) -> None:
    with pytest.raises(PeopleError) as refused:
        services.invite(academy=academy, by=manager, **{**GOOD, **changed})
    assert refused.value.field == field
    assert not Entry.objects.exists()
    assert not mail.outbox


def test_a_cohort_is_for_apprentices_and_of_this_academy_and_goes_on(
    academy: Academy, manager: Person, plover: Cohort, other_academy: Academy
) -> None:
    foreign = CohortFactory(academy=other_academy)
    over = CohortFactory(academy=academy, ends_on=timezone.localdate() - timedelta(days=1))
    for role, cohort in (("assessor", plover), ("apprentice", foreign), ("apprentice", over)):
        with pytest.raises(PeopleError) as refused:
            services.invite(academy=academy, by=manager, **{**GOOD, "role": role}, cohort=cohort)
        assert refused.value.field == "cohort"
    assert not Invitation.objects.exists()


def test_members_and_invited_people_are_not_invited_twice(
    academy: Academy, manager: Person, assessor: Person, invited: Callable[..., Any]
) -> None:
    with pytest.raises(PeopleError, match="an assessor here already"):
        invited(email=assessor.email.upper())
    invited()
    with pytest.raises(PeopleError, match="open invitation"):
        invited(email="PIA@example.test")
    assert Invitation.objects.count() == 1


def test_the_page_invites_and_a_second_press_makes_no_second_row(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    url = reverse("people:invitation-new", args=[academy.slug])
    assert browser.post(url, GOOD).status_code == 302
    again = browser.post(url, GOOD)
    assert "open invitation" in again.content.decode()
    assert Invitation.objects.count() == len(mail.outbox) == 1


def test_what_was_typed_stays_when_the_page_refuses(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    url = reverse("people:invitation-new", args=[academy.slug])
    page = signed_in(manager).post(url, {**GOOD, "email": "not an address", "cohort": "x" * 22})
    text = page.content.decode()
    assert page.status_code == 200
    assert 'value="not an address"' in text
    assert 'value="Pia Harrow"' in text
    assert "not on the list any more" in text
    assert not Invitation.objects.exists()


def test_an_empty_form_is_refused_too(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    page = signed_in(manager).post(reverse("people:invitation-new", args=[academy.slug]), {})
    assert "Nothing here yet" in page.content.decode()
