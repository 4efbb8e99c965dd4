"""Setting up an academy."""

from __future__ import annotations

from zoneinfo import available_timezones

from django.db import transaction

from academy.audit.services import record
from academy.people import rules
from academy.people.errors import PeopleError
from academy.people.models import Academy, Invitation, Role
from academy.people.services.checks import refused_twice
from academy.people.services.invitations import ask_to_send


@transaction.atomic
def set_up_academy(
    *,
    slug: str,
    name: str,
    manager_email: str,
    manager_name: str,
    time_zone: str = "Europe/London",
    preset: str = "uk",
) -> Invitation:
    """A new academy and its first manager's invitation; the academy is `invitation.academy`."""
    _check(slug, time_zone)
    academy = Academy(slug=slug, name=rules.read_name(name), time_zone=time_zone, preset=preset)
    with refused_twice(f"There is an academy at “{slug}” already.", field="slug"):
        academy.save()
    invitation = Invitation.objects.create(
        academy=academy,
        email=rules.read_email(manager_email, field="manager_email"),
        name=rules.read_name(manager_name, field="manager_name"),
        role=Role.MANAGER,
    )
    ask_to_send(invitation)
    record(
        academy_id=academy.pk,
        actor_id=None,
        action="people.academy.set_up",
        subject=academy,
        details={"slug": slug, "time_zone": time_zone, "invitation": invitation.pk},
    )
    return invitation


def _check(slug: str, time_zone: str) -> None:
    if slug in rules.RESERVED_SLUGS:
        raise PeopleError(
            f"“{slug}” is an address of the site itself. Take another, for example the town.",
            field="slug",
        )
    if not rules.may_take_slug(slug):
        raise PeopleError(
            "The address takes small letters, digits and single hyphens, at most 40, "
            "for example colour-school.",
            field="slug",
        )
    if time_zone not in available_timezones():
        raise PeopleError(
            f"There is no time zone “{time_zone}”. Write it like Europe/Paris.", field="time_zone"
        )
