"""The record in sentences, found by person and kind, verified from the page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client

from academy.audit import triggers
from academy.people.models import Academy, Person
from tests.site.making import publish, signed_off

SignedIn = Callable[[Person], Client]


@pytest.fixture
def signed(academy: Academy, educator: Person, assessor: Person, apprentice: Person) -> None:
    signed_off(publish(academy, educator, "hygiene"), assessor, apprentice)


def test_a_sign_off_reads_as_a_sentence(
    signed_in: SignedIn, verifier: Person, signed: None
) -> None:
    page = signed_in(verifier).get("/larkmere/record/").content.decode()
    assert "Dilys Okafor-Reed gave the sign-off of Tamsin Orle in The hygiene module" in page


def test_it_narrows_to_a_person_and_a_kind(
    signed_in: SignedIn, manager: Person, educator: Person, signed: None
) -> None:
    browser = signed_in(manager)
    query = {"person": educator.token, "kind": "curriculum."}
    page = browser.get("/larkmere/record/", query).content.decode()
    assert "Maren Tolvey published" in page
    assert "gave the sign-off" not in page


def test_a_whole_record_holds(signed_in: SignedIn, manager: Person, signed: None) -> None:
    page = signed_in(manager).post("/larkmere/record/verify/", follow=True).content.decode()
    assert "The record holds." in page


def test_a_changed_entry_is_named(signed_in: SignedIn, manager: Person, signed: None) -> None:
    triggers.remove()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE audit_entry SET actor_id = 999999 WHERE sequence = 2")
    triggers.install()
    page = signed_in(manager).post("/larkmere/record/verify/", follow=True).content.decode()
    assert "The record is broken at entry 2" in page


def test_apprentices_and_assessors_do_not_read_it(
    signed_in: SignedIn, apprentice: Person, assessor: Person
) -> None:
    for person in (apprentice, assessor):
        assert signed_in(person).get("/larkmere/record/").status_code == 403
