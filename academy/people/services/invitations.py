"""Inviting one person, sending the link again, revoking it."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.people import rules
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Invitation, Membership, Person, Role
from academy.people.models.invitations import link_end
from academy.people.services.checks import check_cohort, check_manager, refused_twice
from academy.web.days import written
from academy.web.tasks import enqueue

# A second click within this time sends nothing.
PAUSE: Final = timedelta(minutes=1)


@transaction.atomic
def invite(
    *,
    academy: Academy,
    by: Person,
    email: str,
    name: str,
    role: str,
    cohort: Cohort | None = None,
) -> Invitation:
    """Mail one person a link. The cohort is for apprentices only."""
    check_manager(by, academy)
    invitation = Invitation(
        academy=academy,
        email=rules.read_email(email),
        name=rules.read_name(name),
        role=rules.read_role(role),
        cohort=cohort,
        invited_by=by,
    )
    _check(invitation)
    with refused_twice(_twice(invitation.email), field="email"):
        invitation.save()
    ask_to_send(invitation)
    record(
        academy_id=academy.pk,
        actor_id=by.pk,
        action="people.invitation.sent",
        subject=invitation,
        details={"role": invitation.role, "cohort": cohort.pk if cohort else None},
    )
    return invitation


@transaction.atomic
def resend(*, invitation: Invitation, by: Person) -> Invitation:
    """Mail the same link once more and let it last from now; not twice within a minute."""
    check_manager(by, invitation.academy)
    invitation = _open_one(invitation, "sent again")
    if timezone.now() - invitation.sent_at < PAUSE:
        raise PeopleError(
            f"The mail to {invitation.email} went out just now. Wait a minute, then look again."
        )
    if invitation.cohort:
        check_cohort(invitation.cohort, invitation.academy)
    invitation.sent_at, invitation.expires_at = timezone.now(), link_end()
    invitation.save(update_fields=["sent_at", "expires_at"])
    ask_to_send(invitation)
    record(
        academy_id=invitation.academy_id,
        actor_id=by.pk,
        action="people.invitation.sent_again",
        subject=invitation,
    )
    return invitation


@transaction.atomic
def revoke(*, invitation: Invitation, by: Person) -> Invitation:
    """Make the link useless."""
    check_manager(by, invitation.academy)
    invitation = _open_one(invitation, "revoked")
    invitation.revoked_at = timezone.now()
    invitation.save(update_fields=["revoked_at"])
    record(
        academy_id=invitation.academy_id,
        actor_id=by.pk,
        action="people.invitation.revoked",
        subject=invitation,
    )
    return invitation


def ask_to_send(invitation: Invitation) -> None:
    """Put the invitation's mail into the queue, once for each time that it is sent."""
    key = f"people.invitation {invitation.pk} {invitation.sent_at.timestamp()}"
    enqueue("academy.people.tasks.send_invitation", invitation.pk, key=key)


def _open_one(invitation: Invitation, deed: str) -> Invitation:
    """The row as it stands now, held until the end of the transaction."""
    row = Invitation.objects.select_for_update().get(pk=invitation.pk)
    if row.accepted_at:
        raise PeopleError(f"{row.name} has accepted it already. It cannot be {deed}.")
    if row.revoked_at:
        raise PeopleError(f"It was revoked on {written(row.revoked_at.date())}. Invite anew.")
    return row


def _check(invitation: Invitation) -> None:
    if invitation.cohort:
        if invitation.role != Role.APPRENTICE:
            raise PeopleError(
                "Only apprentices have a place in a cohort. Leave it empty.", field="cohort"
            )
        check_cohort(invitation.cohort, invitation.academy)
    held = Membership.objects.current().filter(
        academy=invitation.academy, person__email=invitation.email, role=invitation.role
    )
    if held.exists():
        raise PeopleError(
            f"{invitation.email} is {article(invitation.role)} here already.", field="email"
        )
    same = Invitation.objects.open().filter(
        academy=invitation.academy, email=invitation.email, role=invitation.role
    )
    if same.exists():
        raise PeopleError(_twice(invitation.email), field="email")


def article(role: str) -> str:
    """With its article: "an assessor", "a verifier"."""
    return f"{'an' if role[0] in 'aeiou' else 'a'} {role}"


def _twice(email: str) -> str:
    return f"{email} has an open invitation to this role. Send that one again from the list."
