"""Reference heads: marked and agreed by educators, marked again by assessors to compare."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.assessment.models.feedback import Feedback
from academy.assessment.models.marks import PlacedFault
from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.craft.head.zones import Zone
from academy.curriculum.models import Criterion, ModuleVersion, choices
from academy.people.models import Academy, Person
from academy.web.tokens import TokenField


class ReferenceHead(FrozenModel):
    """A head whose levels educators agreed on; once published it stands."""

    frozen_when = Q(published_at__isnull=False)

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="+")
    name = models.CharField(max_length=80)
    about = models.TextField(max_length=2000, blank=True, help_text="What assessors are told.")
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    published_at = models.DateTimeField(null=True, blank=True)

    objects = FrozenQuerySet["ReferenceHead"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="assessment_referencehead_name"),
        ]
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name


class ReferenceLevel(FrozenModel):
    """The agreed level in one place, and why."""

    frozen_when = Q(reference__published_at__isnull=False)

    reference = models.ForeignKey(ReferenceHead, models.CASCADE, related_name="levels")
    criterion = models.ForeignKey(Criterion, models.PROTECT, related_name="+")
    zone = models.CharField(max_length=10, blank=True, choices=choices(Zone))
    level = models.PositiveSmallIntegerField()
    reason = models.CharField(max_length=300)

    objects = FrozenQuerySet["ReferenceLevel"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["reference", "criterion", "zone"],
                name="assessment_referencelevel_place_once",
            ),
            models.CheckConstraint(
                condition=Q(level__gte=0, level__lte=4), name="assessment_referencelevel_range"
            ),
            models.CheckConstraint(
                condition=~Q(reason=""), name="assessment_referencelevel_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.criterion.code} {self.zone} {self.level}"


class ReferenceFault(PlacedFault):
    """A fault that is to be found on a reference head."""

    frozen_when = Q(reference__published_at__isnull=False)

    reference = models.ForeignKey(ReferenceHead, models.CASCADE, related_name="faults")

    objects = FrozenQuerySet["ReferenceFault"].as_manager()

    class Meta(PlacedFault.Meta):
        constraints = [
            *PlacedFault.Meta.constraints,
            models.UniqueConstraint(
                fields=["reference", "number"], name="assessment_referencefault_number_once"
            ),
        ]


class ReferenceMarking(FrozenModel):
    """An assessor's assessment of kind standardisation, of one reference head."""

    frozen_when = Q(assessment__state="submitted")

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="reference_marking")
    reference = models.ForeignKey(ReferenceHead, models.PROTECT, related_name="markings")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="+")

    objects = FrozenQuerySet["ReferenceMarking"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["reference", "assessor"], name="assessment_referencemarking_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.reference} by {self.assessor}"


class FeedbackRating(AppendOnlyModel):
    """An educator's rating of a feedback text, 0 to 4; one for each educator and text."""

    feedback = models.ForeignKey(Feedback, models.PROTECT, related_name="ratings")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    rating = models.PositiveSmallIntegerField()
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["FeedbackRating"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["feedback", "educator"], name="assessment_feedbackrating_once"
            ),
            models.CheckConstraint(
                condition=Q(rating__gte=0, rating__lte=4), name="assessment_feedbackrating_range"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.feedback_id}: {self.rating}"
