"""Keeps allauth's table of e-mail addresses in step with the one address a person signs in by."""

from __future__ import annotations

from typing import Any

from allauth.account.models import EmailAddress
from allauth.account.signals import email_changed
from django.db import transaction

from academy.audit.services import record, salted
from academy.people.models import Academy, Person


def keep_address(person: Person) -> None:
    """Make the person's address their only, first and proved one. Call it in a transaction."""
    EmailAddress.objects.filter(user=person).exclude(email=person.email).delete()
    EmailAddress.objects.update_or_create(
        user=person, email=person.email, defaults={"primary": True, "verified": True}
    )


def listen() -> None:
    email_changed.connect(note_change, dispatch_uid="people.email_changed")


@transaction.atomic
def note_change(user: Person, to_email_address: EmailAddress, **_kwargs: Any) -> None:
    """A confirmed new address: told in the record of every academy the person works in today."""
    hidden = salted(to_email_address.email, salt=user.token)
    for academy in Academy.objects.visible_to(user):
        record(
            academy_id=academy.pk,
            actor_id=user.pk,
            action="people.person.email_changed",
            subject=user,
            details={"address": hidden},
        )
