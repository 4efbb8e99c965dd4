"""Everything that the record says about people reads as a sentence with names in it."""

from __future__ import annotations

from datetime import date

import pytest
from django.utils import timezone

from academy.audit import sentences
from academy.audit.models import Entry
from academy.people import services
from academy.people.models import Academy, Cohort, Consent, Membership, Person
from academy.people.sentences import SENTENCES


def said(academy: Academy) -> list[str]:
    return [line.sentence for line in sentences.render(Entry.objects.for_history(academy.pk))]


def test_every_sentence_is_known_to_the_record() -> None:
    assert all(sentences.known(action) for action in SENTENCES)


def test_what_was_done_reads_with_names_roles_and_days(
    academy: Academy, manager: Person, apprentice: Person, plover: Cohort, heron: Cohort
) -> None:
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=date(2026, 1, 5))
    services.move_to_cohort(person=apprentice, cohort=heron, by=manager, on=date(2026, 2, 2))
    services.give_role(person=apprentice, academy=academy, role="assessor", by=manager)
    services.give_consent(
        person=apprentice, academy=academy, purpose=Consent.Purpose.NAME_ON_CHECK_PAGE
    )
    assert said(academy)[:4] == [
        "Tamsin Orle agreed: full name on the public check page",
        "Odile Farrant gave Tamsin Orle the role assessor",
        "Odile Farrant moved Tamsin Orle from Plover to Heron on 2 Feb 2026",
        "Odile Farrant gave Tamsin Orle a place in Plover from 5 Jan 2026",
    ]


def test_invitations_and_ends_read_too(academy: Academy, manager: Person, assessor: Person) -> None:
    invitation = services.invite(
        academy=academy, by=manager, email="pia@example.test", name="Pia Harrow", role="verifier"
    )
    services.revoke(invitation=invitation, by=manager)
    services.invite_many(academy=academy, by=manager, text="a@example.test,Ada Wick,assessor")
    membership = Membership.objects.get(person=assessor)
    today = timezone.localdate()
    services.end_membership(membership=membership, by=manager, last_day=today)
    day = f"{today.day} {today:%b %Y}"
    assert said(academy) == [
        f"Odile Farrant ended the role assessor of Dilys Okafor-Reed, last day {day}",
        "Odile Farrant sent invitations to Larkmere Academy of Hair Colour from one list: 1",
        "Odile Farrant revoked the invitation of Pia Harrow as verifier",
        "Odile Farrant sent the invitation of Pia Harrow as verifier",
    ]


@pytest.mark.parametrize("action", sorted(SENTENCES))
def test_a_sentence_begins_with_who_did_it(action: str) -> None:
    assert SENTENCES[action].startswith("{actor} ")
