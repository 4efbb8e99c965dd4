"""Whether somebody has another appointment at the time of a booking."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from django.db.models import Q
from django.utils import timezone

from academy.assessment.marking import minutes_allowed
from academy.assessment.models import Booking
from academy.curriculum.house import rules_today

if TYPE_CHECKING:
    from datetime import datetime

    from academy.people.models import Person

LONGEST = timedelta(hours=12)
"""No head takes longer (`booking_minutes` goes to 720)."""


def minutes_of(booking: Booking, usual: int) -> int:
    """How long the head takes: the module's time, else what is usual in the academy."""
    return minutes_allowed(booking.module_version) or usual


def usual_minutes(booking: Booking) -> int:
    return int(rules_today(booking.academy).number("judging", what="booking_minutes"))


def clashes(booking: Booking, assessor: Person, at: datetime) -> dict[int, str]:
    """By person id, the sentence for each of the two who is booked elsewhere at that time."""
    usual = usual_minutes(booking)
    ends = at + timedelta(minutes=minutes_of(booking, usual))
    people = {assessor.pk: assessor, booking.apprentice_id: booking.apprentice}
    near = (
        Booking.objects.filter(state=Booking.State.BOOKED, at__gt=at - LONGEST, at__lt=ends)
        .filter(Q(assessor__in=people) | Q(apprentice__in=people))
        .exclude(pk=booking.pk)
        .select_related("module_version", "apprentice")
        .order_by("at")
    )
    found: dict[int, str] = {}
    for other in near:
        over = other.at + timedelta(minutes=minutes_of(other, usual)) if other.at else at
        if over <= at:
            continue
        for pk in people.keys() & {other.assessor_id, other.apprentice_id}:
            found.setdefault(pk, _words(people[pk], other, over, booking.academy_id))
    return found


def _words(person: Person, other: Booking, over: datetime, academy: int) -> str:
    begins, ends = timezone.localtime(other.at), timezone.localtime(over)
    times = f"from {begins:%H:%M} to {ends:%H:%M}"
    # What another academy books is not told here.
    what = f", {other.module_version.title}" if other.academy_id == academy else ""
    return f"{person} is booked {times} then{what}. Give another time."
