from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from academy.people import services, tasks
from academy.people.errors import PeopleError
from academy.people.models import Academy, Invitation, Person
from academy.web.models import Job

if TYPE_CHECKING:
    from django.test import Client


def age(invitation: Invitation, days: int) -> Invitation:
    """As if it had been sent that many days ago."""
    moved = timedelta(days=days)
    Invitation.objects.filter(pk=invitation.pk).update(
        sent_at=invitation.sent_at - moved, expires_at=invitation.expires_at - moved
    )
    invitation.refresh_from_db()
    return invitation


def test_sending_again_mails_the_same_link_and_gives_it_a_new_end(
    manager: Person, invited: Callable[..., Invitation], one_entry: Any
) -> None:
    old = age(invited(), 20)
    assert old.state == "expired"
    with one_entry("people.invitation.sent_again"):
        new = services.resend(invitation=old, by=manager)
    assert (new.state, new.secret) == ("open", old.secret)
    assert len(mail.outbox) == 2


def test_a_second_press_within_a_minute_sends_nothing(
    manager: Person, invited: Callable[..., Invitation]
) -> None:
    invitation = age(invited(), 1)
    services.resend(invitation=invitation, by=manager)
    with pytest.raises(PeopleError, match="just now"):
        services.resend(invitation=invitation, by=manager)
    assert len(mail.outbox) == 2


def test_a_revoked_invitation_stays_revoked(
    manager: Person, invited: Callable[..., Invitation], one_entry: Any
) -> None:
    invitation = invited()
    with one_entry("people.invitation.revoked"):
        services.revoke(invitation=invitation, by=manager)
    for again in (services.revoke, services.resend):
        with pytest.raises(PeopleError, match="revoked"):
            again(invitation=invitation, by=manager)


def test_an_accepted_invitation_is_neither_sent_nor_revoked(
    manager: Person, invited: Callable[..., Invitation]
) -> None:
    invitation = invited()
    services.accept_invitation(
        invitation=invitation, name="Pia Harrow", password="tail-comb-and-foil", notice_read=True
    )
    for deed in (services.revoke, services.resend):
        with pytest.raises(PeopleError, match="accepted"):
            deed(invitation=invitation, by=manager)


def test_others_than_managers_can_do_neither(
    educator: Person, invited: Callable[..., Invitation]
) -> None:
    invitation = invited()
    for deed in (services.revoke, services.resend):
        with pytest.raises(PeopleError, match="Only a manager"):
            deed(invitation=invitation, by=educator)


def test_a_mail_that_waited_too_long_is_not_sent(
    manager: Person, invited: Callable[..., Invitation]
) -> None:
    invitation = invited()
    services.revoke(invitation=invitation, by=manager)
    tasks.send_invitation(invitation.pk)
    assert len(mail.outbox) == 1


def test_the_mail_is_asked_for_with_ids_only(invited: Callable[..., Invitation]) -> None:
    invitation = invited()
    assert Job.objects.get().arguments == [invitation.pk]


def test_the_buttons_say_what_was_done(
    academy: Academy,
    manager: Person,
    invited: Callable[..., Invitation],
    signed_in: Callable[[Person], Client],
) -> None:
    invitation = age(invited(), 3)
    browser = signed_in(manager)
    for name, words in (("resend", "Sent again"), ("resend", "just now"), ("revoke", "Revoked")):
        url = reverse(f"people:invitation-{name}", args=[academy.slug, invitation.token])
        assert words in browser.post(url, follow=True).content.decode()


def test_an_invitation_of_another_academy_is_not_there(
    other_academy: Academy,
    make_member: Callable[..., Person],
    invited: Callable[..., Invitation],
    signed_in: Callable[[Person], Client],
) -> None:
    foreign = signed_in(make_member("manager", academy=other_academy))
    invitation = invited()
    for name in ("resend", "revoke"):
        url = reverse(f"people:invitation-{name}", args=[other_academy.slug, invitation.token])
        assert foreign.post(url).status_code == 404
    invitation.refresh_from_db()
    assert invitation.state == "open"
    assert timezone.now() - invitation.sent_at < timedelta(minutes=1)
