"""Cohorts and who has a place in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone

from academy.people.models.persons import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from datetime import date


class CohortQuerySet(models.QuerySet["Cohort", "Cohort"]):
    def visible_to(self, person: Person, academy: Academy) -> CohortQuerySet:
        """Staff see the academy's cohorts, an apprentice the ones they have a place in."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        cohorts = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return cohorts.filter(places__person=person).distinct()
        return cohorts

    def open(self, on: date | None = None) -> CohortQuerySet:
        """Cohorts that have not ended before that day."""
        day = on or timezone.localdate()
        return self.filter(Q(ends_on__isnull=True) | Q(ends_on__gte=day))

    def for_list(self) -> CohortQuerySet:
        """With the number of places held today (`held`) and the educators; two queries."""
        day = timezone.localdate()
        held = Q(places__since__lte=day) & (
            Q(places__until__isnull=True) | Q(places__until__gte=day)
        )
        counted = self.annotate(held=models.Count("places", filter=held, distinct=True))
        return counted.prefetch_related("educators").order_by("-starts_on", "name")


class Cohort(models.Model):
    """Apprentices who start together."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="cohorts")
    name = models.CharField(max_length=80)
    starts_on = models.DateField()
    ends_on = models.DateField(null=True, blank=True)
    educators = models.ManyToManyField(Person, related_name="taught_cohorts", blank=True)

    objects = CohortQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint("academy", Lower("name"), name="people_cohort_name_once"),
            models.CheckConstraint(
                condition=Q(ends_on__isnull=True) | Q(ends_on__gte=models.F("starts_on")),
                name="people_cohort_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def ended(self, on: date | None = None) -> bool:
        return self.ends_on is not None and self.ends_on < (on or timezone.localdate())


class CohortPlaceQuerySet(models.QuerySet["CohortPlace", "CohortPlace"]):
    def current(self, on: date | None = None) -> CohortPlaceQuerySet:
        day = on or timezone.localdate()
        return self.filter(Q(until__isnull=True) | Q(until__gte=day), since__lte=day)

    def open(self, on: date | None = None) -> CohortPlaceQuerySet:
        """Places held on that day or later: also those that begin after it."""
        return self.filter(Q(until__isnull=True) | Q(until__gte=on or timezone.localdate()))


class CohortPlace(models.Model):
    """An apprentice's time in a cohort; moving ends one place and begins another."""

    cohort = models.ForeignKey(Cohort, models.PROTECT, related_name="places")
    person = models.ForeignKey(Person, models.PROTECT, related_name="cohort_places")
    since = models.DateField(default=timezone.localdate)
    until = models.DateField(null=True, blank=True)

    objects = CohortPlaceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["cohort", "person"],
                condition=Q(until__isnull=True),
                name="people_cohortplace_one_open",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=models.F("since")),
                name="people_cohortplace_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} in {self.cohort}"
