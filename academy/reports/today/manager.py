"""Are people, records, retention and certificates in order?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.audit.checking import found_broken
from academy.audit.models import Entry, RecordCheck
from academy.awards.models import Certificate
from academy.awards.queries import AwardPlace, award_places, state_of
from academy.awards.state import State
from academy.craft.measure import counted
from academy.people.models import CohortPlace, Invitation, Membership, Person, Role
from academy.reports.today.need import spelt
from academy.web.tasks import QueueHealth, queue_health

if TYPE_CHECKING:
    from academy.people.acting import Acting

LAPSING_DAYS = 60


@dataclass(frozen=True)
class Page:
    to_issue: list[tuple[Person, AwardPlace]]
    lapsing: list[Certificate]
    invitations: list[Invitation]
    ending: list[Membership]
    counts: list[tuple[str, int]]
    broken: RecordCheck | None
    entries: int
    last_entry: Entry | None
    queue: QueueHealth
    today: date

    @property
    def waits(self) -> int:
        return len(self.to_issue) + len(self.invitations)

    @property
    def answer(self) -> str:
        """The heading: what waits for the manager."""
        if self.broken:
            return "The record is broken"
        if self.to_issue:
            count = len(self.to_issue)
            noun = "certificate" if count == 1 else "certificates"
            return f"{spelt(count)} {noun} can be issued"
        if self.lapsing:
            many = len(self.lapsing)
            noun = "certificate lapses" if many == 1 else "certificates lapse"
            return f"{spelt(many)} {noun} soon"
        if self.invitations:
            return f"{counted(len(self.invitations), 'invitation')} not accepted yet"
        return "Everything is in order"

    @property
    def lead(self) -> str:
        parts = []
        if self.broken:
            parts.append("It says below what to do.")
        if self.lapsing:
            many = counted(len(self.lapsing), "certificate")
            parts.append(f"{many} with less than {LAPSING_DAYS} days to go.")
        if self.queue.failed:
            parts.append(f"{counted(self.queue.failed, 'background job')} failed.")
        return " ".join(parts)


def page(acting: Acting) -> Page:
    academy, today = acting.academy, timezone.localdate()
    people = {
        person.pk: person
        for person in Person.objects.filter(
            cohort_places__in=CohortPlace.objects.filter(cohort__academy=academy)
        )
    }
    places = award_places(academy, list(people))
    certificates = Certificate.objects.filter(
        academy=academy, valid_until__range=(today, today + timedelta(days=LAPSING_DAYS))
    ).select_related("holder")
    memberships = Membership.objects.filter(academy=academy)
    entries = Entry.objects.for_history(academy.pk)
    return Page(
        to_issue=[(people[place.person], place) for place in places if place.may_issue],
        lapsing=[
            row
            for row in certificates.prefetch_related("events").order_by("valid_until")
            if state_of(row, today).state is State.VALID
        ],
        invitations=list(
            Invitation.objects.filter(
                academy=academy, accepted_at__isnull=True, revoked_at__isnull=True
            ).order_by("sent_at")
        ),
        ending=list(
            memberships.filter(until__range=(today, today + timedelta(days=LAPSING_DAYS)))
            .select_related("person")
            .order_by("until")
        ),
        counts=[
            (f"{role.label}s", memberships.current().filter(role=role).count()) for role in Role
        ],
        broken=found_broken(academy.pk),
        entries=entries.count(),
        last_entry=entries.first(),
        queue=queue_health(),
        today=today,
    )
