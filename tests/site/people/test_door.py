from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from django.core import mail
from django.urls import reverse

from academy.people.acting import session_key
from academy.people.models import Academy, Person, Role
from tests.site.factories import PASSWORD, MembershipFactory, PersonFactory

if TYPE_CHECKING:
    from django.test import Client
    from pytest_django.fixtures import Settings

HOME = "/"
LOGIN = "/account/login/"


def test_signed_out_people_are_asked_to_sign_in(client: Client) -> None:
    assert client.get(HOME)["Location"].startswith(LOGIN)


def test_one_academy_and_role_leads_straight_home(
    academy: Academy, assessor: Person, signed_in: Callable[[Person], Client]
) -> None:
    assert signed_in(assessor).get(HOME)["Location"] == f"/{academy.slug}/"


def test_several_roles_and_academies_are_chosen_from(
    academy: Academy,
    other_academy: Academy,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    MembershipFactory(academy=academy, person=educator, role=Role.ASSESSOR)
    MembershipFactory(academy=other_academy, person=educator, role=Role.VERIFIER)
    page = signed_in(educator).get(HOME).content.decode()
    for words in ("Larkmere Academy", "Elsewhere Academy", "Educator", "Assessor", "Verifier"):
        assert words in page


def test_the_chosen_role_is_kept_and_used_where_the_page_allows_it(
    academy: Academy, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    MembershipFactory(academy=academy, person=educator, role=Role.MANAGER)
    browser = signed_in(educator)
    url = reverse("people:cohort-list", args=[academy.slug])
    assert "Make a cohort" not in browser.get(url).content.decode()
    chosen = browser.post(reverse("people:role-choose", args=[academy.slug]), {"role": "manager"})
    assert chosen["Location"] == f"/{academy.slug}/"
    assert browser.session[session_key(academy)] == "manager"
    page = browser.get(url).content.decode()
    assert "Make a cohort" in page
    assert "Act as educator" in page


@pytest.mark.parametrize("role", ["verifier", "king", ""])
def test_a_role_that_one_does_not_hold_cannot_be_chosen(
    role: str, academy: Academy, educator: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(educator)
    url = reverse("people:role-choose", args=[academy.slug])
    assert browser.post(url, {"role": role}).status_code == 404
    assert session_key(academy) not in browser.session


def test_without_a_role_one_is_told_whom_to_ask(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    once = PersonFactory()
    MembershipFactory(
        academy=academy, person=once, since="2026-01-01", until="2026-01-02", role=Role.ASSESSOR
    )
    page = signed_in(once).get(HOME).content.decode()
    assert "Odile Farrant" in page
    assert "Larkmere Academy" in page
    never = signed_in(PersonFactory()).get(HOME).content.decode()
    assert "Odile Farrant" not in never
    assert "Whom to ask" in never


def test_signing_in_takes_the_address_in_any_letters(
    academy: Academy, assessor: Person, client: Client
) -> None:
    words = {"login": assessor.email.upper(), "password": PASSWORD}
    assert client.post(LOGIN, words)["Location"] == HOME


def test_a_closed_account_is_told_whom_to_ask(assessor: Person, client: Client) -> None:
    Person.objects.filter(pk=assessor.pk).update(is_active=False)
    page = client.post(LOGIN, {"login": assessor.email, "password": PASSWORD}, follow=True)
    assert "manager of your academy" in page.content.decode()
    assert client.get(HOME)["Location"].startswith(LOGIN)


def test_guessing_passwords_is_slowed_down(assessor: Person, client: Client) -> None:
    wrong = {"login": assessor.email, "password": "wrong"}
    pages = [client.post(LOGIN, wrong).content.decode() for _ in range(6)]
    assert "Too many" not in pages[0]
    assert "Too many" in pages[-1]
    right = client.post(LOGIN, {"login": assessor.email, "password": PASSWORD})
    assert right.status_code != 302


def test_nobody_signs_up_by_themselves(client: Client) -> None:
    words = {"email": "me@example.test", "password1": PASSWORD}
    client.post(reverse("account_signup"), words)
    assert not Person.objects.filter(email="me@example.test").exists()
    assert not mail.outbox


@pytest.fixture
def tamsin(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.APPRENTICE, name="Tamsin Orle", email="tamsin.orle@larkmere.example")


def test_the_demo_lists_its_people_with_a_line_each_and_signs_in_as_them(
    academy: Academy, tamsin: Person, client: Client
) -> None:
    url = reverse("people:demo")
    page = client.get(url).content.decode()
    assert "Tamsin Orle" in page
    assert "Ready for sign-off" in page
    assert "Callum Breck" not in page
    assert client.post(url, {"person": tamsin.token})["Location"] == HOME
    assert client.get(HOME)["Location"] == f"/{academy.slug}/"


def test_nobody_but_the_demos_people_can_be_signed_in_as(
    assessor: Person, tamsin: Person, client: Client
) -> None:
    for token in (assessor.token, "", "x" * 22):
        assert client.post(reverse("people:demo"), {"person": token}).status_code == 404
    assert client.get(HOME)["Location"].startswith(LOGIN)


def test_the_demo_says_when_it_is_not_loaded(client: Client) -> None:
    assert "not loaded" in client.get(reverse("people:demo")).content.decode()


def test_without_the_demo_setting_there_is_no_such_page(
    tamsin: Person, client: Client, settings: Settings
) -> None:
    settings.BLOCKWORK_DEMO = False
    url = reverse("people:demo")
    assert client.get(url).status_code == 404
    assert client.post(url, {"person": tamsin.token}).status_code == 404
    assert "Tamsin Orle" not in client.get(LOGIN).content.decode()


def test_the_sign_in_page_of_the_demo_offers_one_person_of_each_role(
    tamsin: Person, client: Client
) -> None:
    page = client.get(LOGIN).content.decode()
    assert "Tamsin Orle" in page
    assert "Apprentice, Heron" in page
