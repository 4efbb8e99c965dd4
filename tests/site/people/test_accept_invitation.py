from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

import pytest
import time_machine
from allauth.account.models import EmailAddress
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import (
    Academy,
    Cohort,
    CohortPlace,
    Consent,
    Invitation,
    Membership,
    Person,
    Role,
)
from tests.site.factories import PASSWORD, MembershipFactory, PersonFactory

if TYPE_CHECKING:
    from django.test import Client

NEW: dict[str, Any] = {"name": "Pia Harrow", "password": PASSWORD, "notice_read": True}
FORM = {"name": "Pia Harrow", "password": PASSWORD, "notice_read": "on"}


def address_of(invitation: Invitation) -> str:
    return reverse("people:invitation-accept", args=[invitation.secret])


def test_a_new_person_gets_account_role_place_and_notice_with_one_entry(
    invited: Callable[..., Invitation], plover: Cohort, one_entry: Any
) -> None:
    invitation = invited(role=Role.APPRENTICE, cohort=plover)
    with one_entry("people.invitation.accepted"):
        membership = services.accept_invitation(invitation=invitation, **NEW)
    person = membership.person
    assert person.check_password(PASSWORD)
    assert CohortPlace.objects.get(person=person).cohort == plover
    assert person.consents.get().purpose == Consent.Purpose.PRIVACY_NOTICE
    address = EmailAddress.objects.get(user=person)
    assert (address.email, address.primary, address.verified) == (person.email, True, True)
    invitation.refresh_from_db()
    assert (invitation.state, invitation.accepted_by) == ("accepted", person)


def test_a_person_who_is_here_already_gets_a_second_role_without_a_second_notice(
    apprentice: Person, invited: Callable[..., Invitation], one_entry: Any
) -> None:
    invitation = invited(email=apprentice.email)
    Consent.objects.create(person=apprentice, purpose=Consent.Purpose.PRIVACY_NOTICE)
    with one_entry("people.invitation.accepted"):
        membership = services.accept_invitation(invitation=invitation, person=apprentice)
    assert (membership.person, membership.role) == (apprentice, Role.ASSESSOR)
    assert apprentice.consents.count() == 1


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"password": "short"}, "password"),
        ({"password": ""}, "password"),
        ({"password": "password12345"[:10]}, "password"),
        ({"name": " "}, "name"),
        ({"notice_read": False}, "notice_read"),
    ],
)
def test_a_bad_word_lets_nobody_in(
    invited: Callable[..., Invitation], changed: dict[str, Any], field: str
) -> None:
    invitation = invited()
    entries = Entry.objects.count()
    with pytest.raises(PeopleError) as refused:
        services.accept_invitation(invitation=invitation, **{**NEW, **changed})
    assert refused.value.field == field
    assert not Person.objects.filter(email=invitation.email).exists()
    assert Entry.objects.count() == entries


def test_somebody_else_is_told_and_nothing_happens(
    assessor: Person, invited: Callable[..., Invitation], signed_in: Callable[[Person], Client]
) -> None:
    invitation = invited()
    with pytest.raises(PeopleError, match=f"signed in as {assessor.email}"):
        services.accept_invitation(invitation=invitation, person=assessor, notice_read=True)
    page = signed_in(assessor).post(address_of(invitation), FORM)
    assert page.status_code == 403
    assert "for somebody else" in page.content.decode()
    invitation.refresh_from_db()
    assert invitation.state == "open"
    assert not Person.objects.filter(email=invitation.email).exists()


def test_an_address_with_an_account_is_asked_to_sign_in(
    assessor: Person, invited: Callable[..., Invitation], client: Client
) -> None:
    invitation = invited(email=assessor.email, role=Role.VERIFIER)
    with pytest.raises(PeopleError, match="Sign in with it"):
        services.accept_invitation(invitation=invitation, **NEW)
    page = client.post(address_of(invitation), FORM)
    assert f"?next={address_of(invitation)}" in page.content.decode()
    assert not Membership.objects.filter(role=Role.VERIFIER).exists()


def expire(invitation: Invitation, manager: Person) -> None:
    Invitation.objects.filter(pk=invitation.pk).update(expires_at=timezone.now())


def revoke(invitation: Invitation, manager: Person) -> None:
    services.revoke(invitation=invitation, by=manager)


def use(invitation: Invitation, manager: Person) -> None:
    services.accept_invitation(invitation=invitation, **NEW)


def end_cohort(invitation: Invitation, manager: Person) -> None:
    assert invitation.cohort
    yesterday = timezone.localdate() - timedelta(days=1)
    services.end_cohort(cohort=invitation.cohort, by=manager, last_day=yesterday)


@pytest.mark.parametrize(
    ("happens", "words"),
    [
        (expire, "ran out on"),
        (revoke, "taken back"),
        (use, "has been used"),
        (end_cohort, "Plover ended on"),
    ],
)
def test_a_link_that_leads_nowhere_says_why(
    invited: Callable[..., Invitation],
    manager: Person,
    plover: Cohort,
    client: Client,
    happens: Callable[[Invitation, Person], None],
    words: str,
) -> None:
    invitation = invited(role=Role.APPRENTICE, cohort=plover)
    happens(invitation, manager)
    people = Person.objects.count()
    with pytest.raises(PeopleError, match=words):
        services.accept_invitation(invitation=invitation, **NEW)
    page = client.post(address_of(invitation), FORM)
    assert page.status_code == 410
    assert words in page.content.decode()
    assert Person.objects.count() == people


def test_an_unknown_link_says_what_may_be_wrong_with_it(client: Client) -> None:
    page = client.get(reverse("people:invitation-accept", args=["half-of-a-link"]))
    assert page.status_code == 410
    assert "cut in two" in page.content.decode()


def test_the_page_is_neither_kept_nor_found_and_looking_at_it_changes_nothing(
    invited: Callable[..., Invitation], client: Client
) -> None:
    invitation = invited()
    page = client.get(address_of(invitation))
    assert "no-store" in page["Cache-Control"]
    assert "noindex" in page["X-Robots-Tag"]
    assert 'value="Pia Harrow"' in page.content.decode()
    invitation.refresh_from_db()
    assert invitation.state == "open"


def test_the_page_lets_a_new_person_in_and_a_second_press_leads_home(
    academy: Academy, invited: Callable[..., Invitation], client: Client
) -> None:
    invitation = invited()
    for _ in range(2):
        page = client.post(address_of(invitation), FORM)
        assert (page.status_code, page["Location"]) == (302, f"/{academy.slug}/")
    assert Membership.objects.filter(person__email=invitation.email).count() == 1
    assert client.get(reverse("people:me", args=[academy.slug])).status_code == 200


def test_what_was_typed_stays_but_the_password(
    invited: Callable[..., Invitation], client: Client
) -> None:
    page = client.post(address_of(invited()), {"name": "Pia M. Harrow", "password": "too-short"})
    text = page.content.decode()
    assert 'value="Pia M. Harrow"' in text
    assert "too-short" not in text
    assert "Tick this to go on" in text


def test_a_weak_password_is_refused_on_the_page(
    invited: Callable[..., Invitation], client: Client
) -> None:
    page = client.post(address_of(invited()), {**FORM, "password": "too-short"})
    assert "Too short" in page.content.decode()


def test_a_signed_in_owner_presses_one_button(
    academy: Academy,
    other_academy: Academy,
    invited: Callable[..., Invitation],
    signed_in: Callable[[Person], Client],
) -> None:
    person = PersonFactory(email="pia@example.test")
    MembershipFactory(person=person, academy=other_academy)
    invitation = invited(email="PIA@example.test")
    browser = signed_in(person)
    assert "privacy notice" in browser.get(address_of(invitation)).content.decode()
    page = browser.post(address_of(invitation), {"notice_read": "on"})
    assert page["Location"] == f"/{academy.slug}/"
    assert Membership.objects.filter(person=person, academy=academy).exists()


def test_a_returning_apprentice_with_a_place_keeps_it(
    apprentice: Person, manager: Person, plover: Cohort, heron: Cohort, academy: Academy
) -> None:
    services.place_in_cohort(person=apprentice, cohort=heron, by=manager)
    Membership.objects.filter(person=apprentice).delete()
    invitation = services.invite(
        academy=academy,
        by=manager,
        email=apprentice.email,
        name=apprentice.name,
        role=Role.APPRENTICE,
        cohort=plover,
    )
    services.accept_invitation(invitation=invitation, person=apprentice, notice_read=True)
    assert [place.cohort for place in CohortPlace.objects.filter(person=apprentice)] == [heron]


@pytest.mark.parametrize(
    ("password", "words"),
    [
        ("short", "Too short. Use at least 10 characters, for example four words."),
        ("1234567890", "Too common: it is on lists that are tried first."),
        ("pia@example.test", "Too close to your name or e-mail address."),
    ],
)
def test_a_weak_password_is_refused_in_our_words_here_and_when_it_is_changed(
    invited: Callable[..., Invitation], client: Client, signed_in: Callable[[Person], Client],
    password: str, words: str,
) -> None:  # fmt: skip
    page = client.post(address_of(invited()), {**FORM, "password": password})
    assert words in page.text
    person = PersonFactory(email="pia@example.test")
    twice = {"password1": password, "password2": password}
    form = {"oldpassword": PASSWORD, **twice}
    changed = signed_in(person).post(reverse("account_change_password"), form)
    assert words in changed.text


@pytest.mark.parametrize(
    ("zone", "later"), [("America/Los_Angeles", 0), ("Europe/London", 1), ("Pacific/Auckland", 1)]
)
def test_a_role_begins_on_the_day_it_is_in_the_academy(
    client: Client, academy: Academy, invited: Callable[..., Invitation], zone: str, later: int
) -> None:
    """At 3 in the night by UTC it is still the day before in Los Angeles."""
    Academy.objects.filter(pk=academy.pk).update(time_zone=zone)
    invitation = invited(role=Role.ASSESSOR)
    today = timezone.now().date()
    moment = datetime.combine(today + timedelta(days=1), time(3), tzinfo=UTC)
    with time_machine.travel(moment):
        answer = client.post(address_of(invitation), FORM, follow=True)
        assert answer.status_code == 200
    assert Membership.objects.get(role=Role.ASSESSOR).since == today + timedelta(days=later)
