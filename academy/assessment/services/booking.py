"""Asking for an assessment and giving it a place and a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment import rules
from academy.assessment.again import after_not_yet
from academy.assessment.clashes import clashes
from academy.assessment.errors import AssessmentError
from academy.assessment.models import Booking
from academy.assessment.queries import place_of
from academy.assessment.readiness import needs_on, needs_sentence, readiness
from academy.audit.services import record
from academy.curriculum.models import ModuleVersion
from academy.people.models import Person

if TYPE_CHECKING:
    from datetime import datetime

    from academy.assessment.queries import Place
    from academy.people.models import Academy

_OPEN = (Booking.State.ASKED, Booking.State.BOOKED)


def ask_for_assessment(*, academy: Academy, apprentice: Person, version: ModuleVersion) -> Booking:
    """The apprentice asks to be assessed. Asking twice gives the same booking.

    Raises `AssessmentError` with everything that is not ready yet: another module to be signed
    off first, practice still to do, what follows a "not yet", a sign-off that is in date for long.
    """
    if not rules.may_be_assessed(apprentice, academy):
        raise AssessmentError("Only an apprentice of this academy can ask for an assessment here.")
    check_edition(academy, apprentice, version)
    found = open_booking(apprentice, version)
    if found is not None:
        return found
    why_not = readiness(academy, apprentice, version).why_not
    if why_not:
        raise AssessmentError(" ".join(why_not))
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
    """Give an asked-for or booked assessment its assessor, time and place; again moves it.

    Raises `AssessmentError` where one of the two is booked then, for an apprentice who left, an
    edition that is retired, a day on which a module that comes first is not signed off any more,
    and a day or an assessor that a "not yet" rules out. What may still be done until then, such
    as practice, is said on the booking's page. The same once more changes nothing.
    """
    if not rules.may_book(by, booking.academy):
        raise AssessmentError("Educators and assessors book assessments.")
    place_then = _check_bookable(booking)
    if not rules.may_assess(assessor, booking.academy, booking.apprentice):
        raise AssessmentError(
            "Choose an assessor of this academy; nobody assesses themselves.", field="assessor"
        )
    if at < timezone.now():
        raise AssessmentError("This time is past. Give a later one.", field="at")
    if not place.strip():
        raise AssessmentError("Say where, for example chair 4.", field="place")
    _check_needs(place_then, at)
    _check_after_not_yet(booking, assessor, at)
    with transaction.atomic():
        # Both people are held, so that two bookings at once do not take the same time.
        both = Person.objects.filter(pk__in=[assessor.pk, booking.apprentice_id])
        list(both.order_by("pk").select_for_update().values_list("pk"))
        held = Booking.objects.select_for_update().get(pk=booking.pk)
        _check_open(held)
        new = (assessor.pk, at, place.strip())
        if (held.assessor_id, held.at, held.place) == new:
            return booking
        taken = clashes(booking, assessor, at)
        for pk, field in ((assessor.pk, "assessor"), (booking.apprentice_id, "at")):
            if pk in taken:
                raise AssessmentError(taken[pk], field=field)
        moved = held.state == Booking.State.BOOKED
        booking.state = Booking.State.BOOKED
        booking.assessor, booking.at, booking.place = assessor, at, place.strip()
        booking.booked_by = by
        booking.save(update_fields=["state", "assessor", "at", "place", "booked_by"])
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
        _check_open(Booking.objects.select_for_update().get(pk=booking.pk))
        booking.state = Booking.State.CANCELLED
        booking.cancelled_reason = reason.strip()
        booking.save(update_fields=["state", "cancelled_reason"])
        _record(booking, by, "assessment.booking.cancelled")
    return booking


def check_may_be_assessed(academy: Academy, apprentice: Person, version: ModuleVersion) -> None:
    """Raise `AssessmentError` unless the edition is the right one and its needs are met."""
    place = check_edition(academy, apprentice, version)
    if place.open_needs:
        raise AssessmentError(needs_sentence(place.open_needs))


def check_edition(academy: Academy, apprentice: Person, version: ModuleVersion) -> Place:
    """Raise `AssessmentError` unless it is an edition that this apprentice is assessed in now."""
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
    return place


def _check_open(booking: Booking) -> None:
    if booking.state not in _OPEN:
        raise AssessmentError(f"This booking is {booking.get_state_display()} already.")


def _check_bookable(booking: Booking) -> Place:
    """An open booking of somebody who is here, in the edition they are on."""
    _check_open(booking)
    apprentice, name = booking.apprentice, booking.apprentice.get_short_name()
    if not rules.may_be_assessed(apprentice, booking.academy):
        raise AssessmentError(
            f"{name} is no apprentice of this academy any more. Cancel this booking and give that "
            "as the reason."
        )
    try:
        return check_edition(booking.academy, apprentice, booking.module_version)
    except AssessmentError as refused:
        raise AssessmentError(
            f"{refused.message} Cancel this booking; {name} asks again in the edition in force."
        ) from refused


def _check_needs(then: Place, at: datetime) -> None:
    """What comes first is signed off in date on that day, as far as is known today."""
    sentence = needs_on(then, timezone.localdate(at))
    if sentence:
        raise AssessmentError(sentence, field="at")


def _check_after_not_yet(booking: Booking, assessor: Person, at: datetime) -> None:
    """After a "not yet" a head is neither too early nor by an assessor who is barred."""
    after = after_not_yet(booking.academy, booking.apprentice, booking.module_version)
    if after is None:
        return
    if timezone.localdate(at) < after.earliest:
        raise AssessmentError(f"Too early. {after.day_words} Book a day from then on.", field="at")
    if assessor.pk in after.barred:
        names = " and ".join(sorted(after.barred.values()))
        raise AssessmentError(
            f"The earlier heads that came to “not yet” were judged by {names}. "
            "Somebody else assesses this one.",
            field="assessor",
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
