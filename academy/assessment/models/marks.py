"""What is marked on a head: levels, zones left out, faults, a stop event."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.craft.head.zones import Zone
from academy.curriculum.models import Criterion, Fault, choices
from academy.curriculum.reference import practice_faults
from academy.web.tokens import new_token


class Mark(FrozenModel):
    """A level for one criterion, in one judged zone or for the whole head (zone empty)."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="marks")
    criterion = models.ForeignKey(Criterion, models.PROTECT, related_name="+")
    zone = models.CharField(max_length=10, blank=True, choices=choices(Zone))
    level = models.PositiveSmallIntegerField()
    at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["Mark"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "criterion", "zone"], name="assessment_mark_place_once"
            ),
            models.CheckConstraint(
                condition=Q(level__gte=0, level__lte=4), name="assessment_mark_level_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.criterion.code} {self.zone} {self.level}"


class ZoneLeftOut(FrozenModel):
    """A judged zone that was not covered that day, with the reason."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="zones_left_out")
    zone = models.CharField(max_length=10, choices=choices(Zone))
    reason = models.CharField(max_length=200)

    objects = FrozenQuerySet["ZoneLeftOut"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "zone"], name="assessment_zoneleftout_once"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_zoneleftout_reason"),
        ]

    def __str__(self) -> str:
        return self.zone


class PlacedFault(FrozenModel):
    """A fault at a place on the head, so that it shows in every view and on every head size.

    `zone` is the one it was placed in, on the head of the sheet.
    """

    number = models.PositiveSmallIntegerField()
    fault = models.ForeignKey(Fault, models.PROTECT, null=True, blank=True, related_name="+")
    common = models.SlugField(max_length=24, blank=True, help_text="A fault common to every sheet.")
    azimuth_deg = models.DecimalField(max_digits=6, decimal_places=2)
    elevation_deg = models.DecimalField(max_digits=5, decimal_places=2)
    zone = models.CharField(max_length=10, choices=choices(Zone))
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(fault__isnull=False) | ~Q(common=""),
                name="%(app_label)s_%(class)s_which",
            ),
            models.CheckConstraint(
                condition=Q(azimuth_deg__gte=-180, azimuth_deg__lte=180)
                & Q(elevation_deg__gte=-90, elevation_deg__lte=90),
                name="%(app_label)s_%(class)s_on_the_head",
            ),
            models.CheckConstraint(
                condition=Q(zone__in=[zone.value for zone in Zone]),
                name="%(app_label)s_%(class)s_zone_known",
            ),
        ]
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.number} {self.zone}"

    @property
    def words(self) -> str:
        """Which fault it is; select `fault` for lists."""
        if self.fault is not None:
            return self.fault.fault
        return {known.id: known.word for known in practice_faults()}[self.common]


class FaultMark(PlacedFault):
    """A fault that an assessor marked on the head.

    `client_key` names the mark where it was made, so that a request sent again makes no second.
    """

    frozen_when = Q(assessment__state="submitted")

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="fault_marks")
    client_key = models.CharField(max_length=22, default=new_token, editable=False)

    objects = FrozenQuerySet["FaultMark"].as_manager()

    class Meta(PlacedFault.Meta):
        constraints = [
            *PlacedFault.Meta.constraints,
            models.UniqueConstraint(
                fields=["assessment", "number"], name="assessment_faultmark_number_once"
            ),
            models.UniqueConstraint(
                fields=["assessment", "client_key"], name="assessment_faultmark_sent_once"
            ),
        ]

    @property
    def spoken(self) -> str:
        """Number, fault and zone for a sentence: "Fault 3, slipped foil, crown"."""
        words = self.words
        # An abbreviation keeps its capitals.
        if not words[1:2].isupper():
            words = words[:1].lower() + words[1:]
        return f"Fault {self.number}, {words}, {Zone(self.zone).words}"


class StopEvent(FrozenModel):
    """Something that ended the head at once (`shared/stop_events.toml`)."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="stop_event")
    event = models.SlugField(max_length=40)
    note = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["StopEvent"].as_manager()

    def __str__(self) -> str:
        return self.event
