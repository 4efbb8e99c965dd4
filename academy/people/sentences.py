"""How entries about people read."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from django.utils.dateformat import format as date_format

from academy.audit import sentences
from academy.people.models import Academy, Cohort, Consent, Invitation, Membership, Person, Role

if TYPE_CHECKING:
    from academy.audit.sentences import Value

SENTENCES = {
    "people.academy.set_up": "{actor} set up {subject}",
    "people.invitation.sent": "{actor} sent {subject}",
    "people.invitation.sent_many": "{actor} sent invitations to {subject} from one list: {count}",
    "people.invitation.sent_again": "{actor} sent {subject} again",
    "people.invitation.revoked": "{actor} revoked {subject}",
    "people.invitation.accepted": "{actor} accepted {subject}",
    "people.membership.given": "{actor} gave {person:people.person} the role {role:people.role}",
    "people.membership.ended": (
        "{actor} ended the role {role:people.role} of {person:people.person}, "
        "last day {last_day:people.day}"
    ),
    "people.cohort.made": "{actor} made the cohort {subject}",
    "people.cohort.changed": "{actor} changed the cohort {subject}",
    "people.cohort.ended": "{actor} ended the cohort {subject}, last day {last_day:people.day}",
    "people.place.given": (
        "{actor} gave {person:people.person} a place in {subject} from {since:people.day}"
    ),
    "people.place.moved": (
        "{actor} moved {person:people.person} from {origin:people.cohort} to {subject} "
        "on {since:people.day}"
    ),
    "people.consent.given": "{actor} agreed: {purpose:people.purpose}",
    "people.consent.withdrawn": "{actor} no longer agrees: {purpose:people.purpose}",
    "people.guardian.kept": "{actor} kept a guardian's contact for {subject}",
    "people.guardian.removed": "{actor} removed the guardian's contact of {subject}",
    "people.closedday.added": "{actor} closed the academy on {day:people.day}",
    "people.closedday.removed": "{actor} opened the academy on {day:people.day} after all",
    "people.person.name_changed": "{actor} changed the name of {subject}",
    "people.person.email_changed": "{actor} changed the e-mail address of {subject}",
}


def install() -> None:
    for action, template in SENTENCES.items():
        sentences.register(action, template)
    sentences.resolve(sentences.PERSON, _people)
    sentences.resolve("people.academy", _academies)
    sentences.resolve("people.academy_slug", _academy_slugs)
    sentences.resolve("people.cohort", _cohorts)
    sentences.resolve("people.invitation", _invitations)
    sentences.resolve("people.membership", _memberships)
    sentences.resolve("people.role", _roles)
    sentences.resolve("people.purpose", _purposes)
    sentences.resolve("people.day", _days)


def _people(ids: set[Value]) -> dict[Value, str]:
    return dict(Person.objects.filter(pk__in=ids).values_list("pk", "name"))


def _academies(ids: set[Value]) -> dict[Value, str]:
    return dict(Academy.objects.filter(pk__in=ids).values_list("pk", "name"))


def _academy_slugs(ids: set[Value]) -> dict[Value, str]:
    return dict(Academy.objects.filter(pk__in=ids).values_list("pk", "slug"))


def _cohorts(ids: set[Value]) -> dict[Value, str]:
    return dict(Cohort.objects.filter(pk__in=ids).values_list("pk", "name"))


def _invitations(ids: set[Value]) -> dict[Value, str]:
    rows = Invitation.objects.filter(pk__in=ids)
    return {row.pk: f"the invitation of {row.name} as {row.get_role_display()}" for row in rows}


def _memberships(ids: set[Value]) -> dict[Value, str]:
    rows = Membership.objects.filter(pk__in=ids).select_related("person")
    return {row.pk: f"{row.person.name} as {row.get_role_display()}" for row in rows}


def _roles(values: set[Value]) -> dict[Value, str]:
    return {value: str(Role(value).label) for value in values if value in Role.values}


def _purposes(values: set[Value]) -> dict[Value, str]:
    known = Consent.Purpose
    return {value: str(known(value).label) for value in values if value in known.values}


def _days(values: set[Value]) -> dict[Value, str]:
    return {value: date_format(date.fromisoformat(str(value)), "j M Y") for value in values}
