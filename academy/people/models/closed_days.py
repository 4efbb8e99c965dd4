"""Days on which the academy is closed; deadlines in working days skip them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Q

from academy.people.models.persons import Academy
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from datetime import date


class ClosedDayQuerySet(models.QuerySet["ClosedDay", "ClosedDay"]):
    def days_of(self, academy: Academy) -> frozenset[date]:
        """The closed days of an academy. One query."""
        return frozenset(self.filter(academy=academy).values_list("day", flat=True))


class ClosedDay(models.Model):
    """One day on which the academy is closed, and why."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="closed_days")
    day = models.DateField()
    why = models.CharField(max_length=80)

    objects = ClosedDayQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "day"], name="people_closedday_once"),
            models.CheckConstraint(condition=~Q(why=""), name="people_closedday_says_why"),
        ]
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day:%d %b %Y}"
