"""Coming in: an invitation becomes a person's role."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.people import rules, wordings
from academy.people.addresses import keep_address
from academy.people.errors import PeopleError
from academy.people.models import CohortPlace, Consent, Invitation, Membership, Person, Role
from academy.people.services.checks import refused_twice
from academy.web.days import written

if TYPE_CHECKING:
    from datetime import date

NOTICE = Consent.Purpose.PRIVACY_NOTICE


@transaction.atomic
def accept_invitation(
    *,
    invitation: Invitation,
    person: Person | None = None,
    name: str = "",
    password: str = "",
    notice_read: bool = False,
    since: date | None = None,
) -> Membership:
    """Give the invited person their role, and their place when a cohort was named.

    `person` is whoever is signed in; without one a new person is made with `name` and
    `password`. The privacy notice must have been read, now or before.
    """
    invitation = Invitation.objects.select_for_update().get(pk=invitation.pk)
    check_usable(invitation)
    person = _owner(invitation, person) or _new_person(invitation, name, password)
    wording = _keep_notice(person, notice_read=notice_read)
    # Who accepts acts in no academy yet; the role begins on the day it is there.
    day = since or timezone.localdate(timezone=ZoneInfo(invitation.academy.time_zone))
    membership = Membership(
        academy_id=invitation.academy_id, person=person, role=invitation.role, since=day
    )
    with refused_twice("You hold this role here already. There is nothing left to accept."):
        membership.save()
    if invitation.cohort and not _has_place(person, invitation, day):
        CohortPlace.objects.create(cohort=invitation.cohort, person=person, since=day)
    invitation.accepted_at, invitation.accepted_by = timezone.now(), person
    invitation.save(update_fields=["accepted_at", "accepted_by"])
    record(
        academy_id=invitation.academy_id,
        actor_id=person.pk,
        action="people.invitation.accepted",
        subject=invitation,
        details={
            "person": person.pk,
            "role": invitation.role,
            "membership": membership.pk,
            "cohort": invitation.cohort_id,
            "notice_wording": wording,
        },
    )
    return membership


def check_usable(invitation: Invitation) -> None:
    """Raise `PeopleError` with what to do when the link leads nowhere any more."""
    ask = f"Ask {_asker(invitation)} for a new one."
    if invitation.state == "accepted":
        raise PeopleError("This invitation has been used. Sign in instead.")
    if invitation.state == "revoked":
        raise PeopleError(f"This invitation was taken back. {ask}")
    if invitation.state == "expired":
        raise PeopleError(f"This link ran out on {written(invitation.expires_at.date())}. {ask}")
    cohort = invitation.cohort
    if cohort and cohort.ended() and cohort.ends_on:
        raise PeopleError(f"The cohort {cohort.name} ended on {written(cohort.ends_on)}. {ask}")


def _asker(invitation: Invitation) -> str:
    by = invitation.invited_by
    return f"{by.name} at {invitation.academy.name}" if by else f"{invitation.academy.name}"


def _owner(invitation: Invitation, person: Person | None) -> Person | None:
    if person is None:
        if Person.objects.filter(email=invitation.email).exists():
            raise PeopleError(
                f"There is an account for {invitation.email}. Sign in with it, then accept."
            )
        return None
    if not rules.may_accept(person, invitation):
        raise PeopleError(
            f"This invitation is for {invitation.email}, and you are signed in as {person.email}."
        )
    if not person.is_active:
        raise PeopleError("This account is closed. Ask the manager of your academy.")
    return person


def _new_person(invitation: Invitation, name: str, password: str) -> Person:
    person = Person(email=invitation.email, name=rules.read_name(name))
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise PeopleError(" ".join(error.messages), field="password") from error
    person.set_password(password)
    with refused_twice(f"There is an account for {invitation.email} by now. Sign in with it."):
        person.save()
    keep_address(person)
    return person


def _keep_notice(person: Person, *, notice_read: bool) -> int:
    """The number of the notice that the person has read; a new row when it is read now."""
    current = wordings.current_wording(NOTICE)
    standing = person.consents.standing().filter(purpose=NOTICE).first()
    if standing and standing.wording_version == current:
        return current
    if not notice_read:
        raise PeopleError("Read the privacy notice and tick it to come in.", field="notice_read")
    if standing:
        standing.withdrawn_at = timezone.now()
        standing.save(update_fields=["withdrawn_at"])
    Consent.objects.create(person=person, purpose=NOTICE, wording_version=current)
    return current


def _has_place(person: Person, invitation: Invitation, day: date) -> bool:
    """Whether an apprentice who comes back still has a place in this academy."""
    if invitation.role != Role.APPRENTICE:
        return False
    places = CohortPlace.objects.open(day).filter(person=person)
    return places.filter(cohort__academy_id=invitation.academy_id).exists()
