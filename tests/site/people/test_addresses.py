"""A person's address and allauth's table of addresses go together."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from allauth.account.models import EmailAddress
from django.core import mail
from django.urls import reverse

from academy.audit.models import Entry
from academy.people import services
from academy.people.models import Academy, Invitation, Person
from tests.site.factories import PASSWORD

if TYPE_CHECKING:
    from django.test import Client


def test_an_address_changes_once_it_is_confirmed_and_not_before(
    academy: Academy, invited: Callable[..., Invitation], client: Client
) -> None:
    membership = services.accept_invitation(
        invitation=invited(), name="Pia Harrow", password=PASSWORD, notice_read=True
    )
    person = membership.person
    client.post(reverse("account_login"), {"login": person.email, "password": PASSWORD})
    mail.outbox.clear()
    client.post(reverse("account_email"), {"action_add": "", "email": "Pia.New@Example.test"})
    person.refresh_from_db()
    assert person.email == "pia@example.test"
    [message] = [one for one in mail.outbox if one.to == ["pia.new@example.test"]]
    found = re.search(r"http://testserver(/account/confirm-email/\S+)", str(message.body))
    assert found
    client.post(found.group(1))
    person.refresh_from_db()
    assert person.email == "pia.new@example.test"
    address = EmailAddress.objects.get(user=person)
    assert (address.email, address.primary, address.verified) == (person.email, True, True)
    told = Entry.objects.filter(action="people.person.email_changed")
    assert [(entry.academy_id, entry.actor_id) for entry in told] == [(academy.pk, person.pk)]
    assert b"example.test" not in bytes(told[0].canonical)


def test_an_address_is_kept_in_small_letters() -> None:
    person = Person(email="Pia@Example.TEST", name="Pia Harrow")
    person.save()
    assert Person.objects.get().email == "pia@example.test"
