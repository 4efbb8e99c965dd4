"""A person's words can be erased: the record goes on to verify, and says nothing about them."""

from __future__ import annotations

import re

from django.db import transaction

from academy.audit.checkpoints import make_checkpoint
from academy.audit.models import Entry
from academy.audit.sentences import render
from academy.audit.services import salted
from academy.audit.verifying import verify_chain
from academy.people.models import Academy, Person
from academy.web.tokens import new_token
from tests.site.entries import recorded
from tests.site.making import publish, signed_off

WORDS = ("Tamsin", "Orle", "Dilys", "gloves changed", "laid out within reach", "@")


def test_a_year_of_decisions_holds_no_word_about_anybody(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    signed_off(publish(academy, educator, "hygiene"), assessor, apprentice)
    kept = b"".join(bytes(entry.canonical) for entry in Entry.objects.all()).decode()
    assert [word for word in WORDS if word in kept] == []


def test_the_chain_holds_when_a_persons_words_are_gone(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    signed_off(publish(academy, educator, "hygiene"), assessor, apprentice)
    make_checkpoint(academy.pk)
    before = verify_chain(academy.pk)
    Person.objects.filter(pk=apprentice.pk).update(
        name="Erased", email=f"{new_token()}@erased.invalid"
    )
    assert verify_chain(academy.pk) == before
    told = " ".join(line.sentence for line in render(Entry.objects.for_chain(academy.pk)))
    assert "Tamsin" not in told
    assert "Erased" in told


def test_a_salted_hash_says_nothing_once_its_salt_is_gone(academy: Academy) -> None:
    salt = new_token()
    with transaction.atomic():
        entry = recorded(
            academy_id=academy.pk,
            actor_id=None,
            action="audit.test.done",
            subject=academy,
            details={"number": 1, "reason": salted("The nape was cut short", salt)},
        )
    assert entry.details["reason"] == salted("The nape was cut short", salt)
    guesses = (salted("The nape was cut short"), salted("The nape was cut short", new_token()))
    assert entry.details["reason"] not in guesses
    assert re.fullmatch("[0-9a-f]{64}", entry.details["reason"])
