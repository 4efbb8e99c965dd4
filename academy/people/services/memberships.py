"""Giving people roles, and ending them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.people import rules
from academy.people.errors import PeopleError
from academy.people.models import Academy, CohortPlace, Membership, Person, Role
from academy.people.services.checks import check_manager, refused_twice
from academy.people.services.invitations import article
from academy.web.days import written

if TYPE_CHECKING:
    from datetime import date


@transaction.atomic
def give_role(
    *, person: Person, academy: Academy, role: str, by: Person, since: date | None = None
) -> Membership:
    """One more role for somebody who is or was at the academy; others are invited."""
    check_manager(by, academy)
    known = rules.read_role(role)
    theirs = Membership.objects.filter(person=person, academy=academy)
    if not theirs.exists():
        raise PeopleError(f"{person.name} was never here. Send an invitation instead.")
    day = since or timezone.localdate()
    membership = Membership(academy=academy, person=person, role=known, since=day)
    already = f"{person.name} is {article(known)} here already."
    if theirs.current(day).filter(role=known).exists():
        raise PeopleError(already, field="role")
    with refused_twice(already, field="role"):
        membership.save()
    record(
        academy_id=academy.pk,
        actor_id=by.pk,
        action="people.membership.given",
        subject=membership,
        details={"person": person.pk, "role": known.value, "since": day.isoformat()},
    )
    return membership


@transaction.atomic
def end_membership(*, membership: Membership, by: Person, last_day: date) -> Membership:
    """Let a role end with that day. With the role of apprentice the place in a cohort ends too."""
    check_manager(by, membership.academy)
    # All managers of the academy are held, so that the last two cannot end each other.
    list(
        Membership.objects.select_for_update().filter(
            academy_id=membership.academy_id, role=membership.role
        )
    )
    membership = Membership.objects.select_related("person", "academy").get(pk=membership.pk)
    _check_end(membership, last_day)
    membership.until = last_day
    membership.save(update_fields=["until"])
    if membership.role == Role.APPRENTICE:
        _end_places(membership, last_day)
    record(
        academy_id=membership.academy_id,
        actor_id=by.pk,
        action="people.membership.ended",
        subject=membership,
        details={
            "person": membership.person_id,
            "role": membership.role,
            "last_day": last_day.isoformat(),
        },
    )
    return membership


def _check_end(membership: Membership, last_day: date) -> None:
    name = membership.person.name
    if membership.until and membership.until < timezone.localdate():
        raise PeopleError(f"This role ended on {written(membership.until)} already.")
    if last_day < membership.since:
        raise PeopleError(
            f"{name} began on {written(membership.since)}. Choose that day or a later one.",
            field="last_day",
        )
    if not rules.may_end(membership, last_day):
        raise PeopleError(
            f"{name} is the last manager of {membership.academy.name}. "
            "Give somebody else the role first."
        )


def _end_places(membership: Membership, last_day: date) -> None:
    places = CohortPlace.objects.open(last_day).filter(
        person_id=membership.person_id, cohort__academy_id=membership.academy_id
    )
    places.filter(since__gt=last_day).delete()
    places.update(until=last_day)
