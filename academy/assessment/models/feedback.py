"""Feedback in four boxes, as it is being written and as it was given."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.boxes import WHOLE_HEAD, Boxes
from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.craft.head.zones import Zone
from academy.people.models import Person


class Feedback(AppendOnlyModel):
    """One point of feedback in four boxes. Filled in later, it is a correction with its reason.

    `complete` boxes are counted by the parts that are filled: seen (zone and what), against
    (criterion and level), why, next (action, number, date).
    """

    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="feedback")
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    correction_reason = models.CharField(max_length=200, blank=True)
    written_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    written_at = models.DateTimeField(default=timezone.now)
    seen_zone = models.CharField(max_length=10, blank=True)
    seen_what = models.CharField(max_length=400, blank=True)
    against_criterion = models.CharField(max_length=8, blank=True)
    against_level = models.PositiveSmallIntegerField(null=True, blank=True)
    why = models.CharField(max_length=400, blank=True)
    next_action = models.CharField(max_length=300, blank=True)
    next_number = models.PositiveSmallIntegerField(null=True, blank=True)
    next_on = models.DateField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)

    objects = AppendOnlyQuerySet["Feedback"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(correction_reason=""),
                name="assessment_feedback_correction_reason",
            ),
            models.CheckConstraint(
                condition=Q(against_level__isnull=True)
                | Q(against_level__gte=0, against_level__lte=4),
                name="assessment_feedback_level_range",
            ),
        ]
        ordering = ["written_at", "pk"]

    def __str__(self) -> str:
        return f"feedback on {self.assessment}"

    @property
    def boxes(self) -> Boxes:
        return Boxes(**{name: getattr(self, name) for name in Boxes.__dataclass_fields__})

    @property
    def zone_words(self) -> str:
        """Where it was seen, the whole head included."""
        if not self.seen_zone:
            return ""
        return "the whole head" if self.seen_zone == WHOLE_HEAD else Zone(self.seen_zone).words


class FeedbackDraft(models.Model):
    """The points as they are being written, before the assessment is submitted.

    `points` holds `Boxes.as_json` of each.
    """

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="feedback_draft")
    points = models.JSONField(default=list)
    changed_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"draft feedback on {self.assessment}"
