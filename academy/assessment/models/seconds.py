"""Second marks: which heads are drawn for one, who asked for one, and to whom it was given."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.people.models import Academy, Person


class HeadSamplePlan(AppendOnlyModel):
    """From this moment on, this share of heads gets a second mark; the newest one counts."""

    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    percent = models.DecimalField(max_digits=4, decimal_places=1)
    seed = models.PositiveBigIntegerField()
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["HeadSamplePlan"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(percent__gte=0, percent__lte=100),
                name="assessment_headsampleplan_percent_range",
            ),
        ]
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.percent} % of heads from {self.made_at:%d %b %Y}"


class HeadDraw(FrozenModel):
    """Whether the sample drew a head, decided when it was begun and told once it is submitted.

    `place` is what was drawn for: apprentice, module and the number of the head. Whoever knows
    the plan's seed can draw it again.
    """

    frozen_when = Q(assessment__state="submitted")

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="draw")
    plan = models.ForeignKey(HeadSamplePlan, models.PROTECT, related_name="draws")
    place = models.CharField(max_length=80)
    drawn = models.BooleanField()

    objects = FrozenQuerySet["HeadDraw"].as_manager()

    def __str__(self) -> str:
        return f"{self.assessment}: {'drawn' if self.drawn else 'not drawn'}"


class SecondAsked(FrozenModel):
    """Somebody asked for a second mark: the assessor before submitting, or an appeal after."""

    frozen_when = Q(assessment__state="submitted")

    class Cause(models.TextChoices):
        REQUEST = "request", "asked for by the assessor"
        APPEAL = "appeal", "asked for by an appeal"

    assessment = models.ForeignKey(Assessment, models.CASCADE, related_name="second_asked")
    cause = models.CharField(max_length=8, choices=Cause.choices)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now)

    objects = FrozenQuerySet["SecondAsked"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assessment", "cause"], name="assessment_secondasked_once"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_secondasked_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.assessment}: {self.get_cause_display()}"


class SecondAssignment(AppendOnlyModel):
    """Who gives the second mark of a head; a reassignment names the row it takes the place of."""

    first = models.ForeignKey(Assessment, models.PROTECT, related_name="second_assignments")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    reason = models.CharField(max_length=200, blank=True)
    taught = models.BooleanField(default=False, help_text="They taught this apprentice; warned.")
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["SecondAssignment"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["first"],
                condition=Q(replaces__isnull=True),
                name="assessment_secondassignment_one_begins",
            ),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(reason=""),
                name="assessment_secondassignment_reason",
            ),
        ]
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"second mark of {self.first_id} by {self.assessor}"
