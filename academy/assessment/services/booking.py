"""Asking for an assessment and giving it a place and a time."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Booking
from academy.assessment.queries import place_of
from academy.audit.services import record
from academy.curriculum.models import ModuleVersion
from academy.web.days import written

if TYPE_CHECKING:
    from datetime import datetime

    from academy.people.models import Academy, Person

# A module may be assessed anew this many days before its sign-off goes out of date.
RENEW_DAYS = 60
_OPEN = (Booking.State.ASKED, Booking.State.BOOKED)


def ask_for_assessment(*, academy: Academy, apprentice: Person, version: ModuleVersion) -> Booking:
    """The apprentice asks to be assessed. Asking twice gives the same booking.

    Raises `AssessmentError` while another module has to be signed off first, and while this one
    is signed off for more than `RENEW_DAYS` days yet.
    """
    if not rules.may_be_assessed(apprentice, academy):
        raise AssessmentError("Only an apprentice of this academy can ask for an assessment here.")
    check_may_be_assessed(academy, apprentice, version)
    found = open_booking(apprentice, version)
    if found is not None:
        return found
    _check_not_signed_off(academy, apprentice, version)
    try:
        with transaction.atomic():
            booking = Booking.objects.create(
                academy=academy, apprentice=apprentice, module_version=version
            )
            _record(booking, apprentice, "assessment.booking.asked")
    except IntegrityError:
        return Booking.objects.get(apprentice=apprentice, module_version=version, state__in=_OPEN)
    return booking


def open_booking(apprentice: Person, version: ModuleVersion) -> Booking | None:
    """What the apprentice asked for in this module and was neither done nor cancelled."""
    return Booking.objects.open().filter(apprentice=apprentice, module_version=version).first()


def book(*, booking: Booking, by: Person, assessor: Person, at: datetime, place: str) -> Booking:
    """Give an asked-for or booked assessment its assessor, time and place; again moves it."""
    if not rules.may_book(by, booking.academy):
        raise AssessmentError("Educators and assessors book assessments.")
    if booking.state not in _OPEN:
        raise AssessmentError(f"This booking is {booking.get_state_display()} already.")
    if not rules.may_assess(assessor, booking.academy, booking.apprentice):
        raise AssessmentError(
            "Choose an assessor of this academy; nobody assesses themselves.", field="assessor"
        )
    if at < timezone.now():
        raise AssessmentError("This time is past. Give a later one.", field="at")
    if not place.strip():
        raise AssessmentError("Say where, for example chair 4.", field="place")
    with transaction.atomic():
        moved = booking.state == Booking.State.BOOKED
        booking.state = Booking.State.BOOKED
        booking.assessor, booking.at, booking.place = assessor, at, place.strip()
        booking.booked_by = by
        booking.save()
        action = "assessment.booking.moved" if moved else "assessment.booking.booked"
        _record(booking, by, action, assessor=assessor.pk, at=at.isoformat())
    return booking


def cancel_booking(*, booking: Booking, by: Person, reason: str) -> Booking:
    """Call an open booking off, with a reason everybody concerned can read."""
    if not rules.may_cancel(by, booking):
        raise AssessmentError("Only the apprentice, an educator or an assessor can cancel this.")
    if not reason.strip():
        raise AssessmentError("Say why, for example: block not free.", field="reason")
    with transaction.atomic():
        booking.state = Booking.State.CANCELLED
        booking.cancelled_reason = reason.strip()
        booking.save(update_fields=["state", "cancelled_reason"])
        _record(booking, by, "assessment.booking.cancelled")
    return booking


def check_may_be_assessed(academy: Academy, apprentice: Person, version: ModuleVersion) -> None:
    """Raise `AssessmentError` unless the edition is the right one and its needs are met."""
    if version.academy_id != academy.pk or version.state == ModuleVersion.State.DRAFT:
        raise AssessmentError("Choose one of your academy's modules.", field="module")
    place = place_of(academy, apprentice, version)
    if place.version != version.pk:
        raise AssessmentError(
            f"Version {version.number} of {version.title} is not the one "
            f"{apprentice.get_short_name()} is on. Start again from the module's page."
        )
    if version.state == ModuleVersion.State.RETIRED and place.last_practised is None:
        raise AssessmentError(
            f"Version {version.number} of {version.title} is retired, and "
            f"{apprentice.get_short_name()} has not begun it. Choose another module.",
            field="module",
        )
    if place.open_needs:
        titles = ModuleVersion.objects.filter(
            module__in=place.open_needs, state=ModuleVersion.State.PUBLISHED
        ).values_list("title", flat=True)
        raise AssessmentError(
            f"First needs a sign-off that is in date: {', '.join(titles)}. "
            "The module may be practised meanwhile."
        )


def _check_not_signed_off(academy: Academy, apprentice: Person, version: ModuleVersion) -> None:
    signed = place_of(academy, apprentice, version).signed
    soon = timezone.localdate() + timedelta(days=RENEW_DAYS)
    if signed is not None and signed.in_date_until > soon:
        raise AssessmentError(
            f"{version.title} is signed off until {written(signed.in_date_until)}. "
            f"Ask again within {RENEW_DAYS} days of that day."
        )


def _record(booking: Booking, by: Person, action: str, **details: object) -> None:
    record(
        academy_id=booking.academy_id,
        actor_id=by.pk,
        action=action,
        subject=booking,
        details={
            "apprentice": booking.apprentice_id,
            "version": booking.module_version_id,
            **details,
        },
    )
