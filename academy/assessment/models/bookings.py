"""Bookings: an apprentice asks, somebody gives a place and a time."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from academy.curriculum.models import ModuleVersion
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField


class BookingQuerySet(models.QuerySet["Booking", "Booking"]):
    def visible_to(self, person: Person, academy: Academy) -> BookingQuerySet:
        """An apprentice sees their own bookings; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        bookings = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return bookings.filter(apprentice=person)
        if Role.ASSESSOR in roles:
            # Whose head waits to be marked blind must not be read off its booking.
            from academy.assessment.models.assessments import Assessment  # noqa: PLC0415

            waiting = Assessment.objects.filter(academy=academy, booking__isnull=False)
            waiting = waiting.kept_blind().exclude(assessor=person).exclude(apprentice=person)
            return bookings.exclude(pk__in=waiting.order_by().values("booking"))
        return bookings

    def open(self) -> BookingQuerySet:
        """Asked for or booked, neither done nor cancelled."""
        return self.filter(state__in=[Booking.State.ASKED, Booking.State.BOOKED])


class Booking(models.Model):
    """An apprentice's wish to be assessed, then the place and time with an assessor."""

    class State(models.TextChoices):
        ASKED = "asked", "asked for"
        BOOKED = "booked", "booked"
        DONE = "done", "done"
        CANCELLED = "cancelled", "cancelled"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="bookings")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="+")
    state = models.CharField(max_length=9, choices=State.choices, default=State.ASKED)
    asked_at = models.DateTimeField(default=timezone.now)
    assessor = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(null=True, blank=True)
    place = models.CharField(max_length=80, blank=True)
    booked_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    cancelled_reason = models.CharField(max_length=200, blank=True)

    objects = BookingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["apprentice", "module_version"],
                condition=Q(state__in=["asked", "booked"]),
                name="assessment_booking_one_open",
            ),
            models.CheckConstraint(
                condition=Q(assessor__isnull=True) | ~Q(assessor=F("apprentice")),
                name="assessment_booking_not_oneself",
            ),
            models.CheckConstraint(
                condition=~Q(state="booked") | Q(assessor__isnull=False, at__isnull=False),
                name="assessment_booking_who_and_when",
            ),
        ]
        ordering = ["asked_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}, {self.get_state_display()}"

    @property
    def waiting_days(self) -> int:
        """Whole days since it was asked for."""
        return (timezone.localdate() - timezone.localdate(self.asked_at)).days

    @property
    def overdue(self) -> bool:
        """Booked for a time that is over, and no head of it was submitted."""
        if self.state != self.State.BOOKED or self.at is None:
            return False
        return self.at < timezone.now()
