"""What the marks came to, and what was said about it."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.people.models import Person


class Outcome(AppendOnlyModel):
    """What the marks came to, with every reason and the figures and rules it came from."""

    class ByMarks(models.TextChoices):
        COMPETENT = "competent", "competent"
        NOT_YET = "not_yet", "not yet"

    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="outcome")
    by_marks = models.CharField(max_length=9, choices=ByMarks.choices)
    second_needed = models.BooleanField()
    causes = models.JSONField(default=list)
    reasons = models.JSONField(default=list)
    head_mark = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    pass_line = models.DecimalField(max_digits=5, decimal_places=2)
    near_band = models.DecimalField(max_digits=5, decimal_places=2)
    figures = models.JSONField(
        default=dict, help_text="Inputs and results, enough to compute it again."
    )
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Outcome"].as_manager()

    @property
    def mark(self) -> str:
        """The mark (`academy.web.marks`) for what the levels came to."""
        return "competent" if self.by_marks == self.ByMarks.COMPETENT else "notyet"

    def __str__(self) -> str:
        return self.get_by_marks_display()


class Acknowledgement(AppendOnlyModel):
    """The apprentice has read the result sheet; not the same as agreeing with it."""

    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="acknowledgement")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="+")
    disagrees = models.BooleanField(default=False)
    note = models.TextField(max_length=1000, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Acknowledgement"].as_manager()

    def __str__(self) -> str:
        return f"read by {self.apprentice}"


class Withdrawal(AppendOnlyModel):
    """An assessor took a submission back that was made by mistake; it counts nowhere from then on.

    The assessment stays as it was submitted, readable with this reason.
    """

    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="withdrawal")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Withdrawal"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_withdrawal_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.assessment} withdrawn"


class Ruling(AppendOnlyModel):
    """A verifier's decision on two disagreeing assessments of the same work."""

    class Decision(models.TextChoices):
        FIRST = "first", "the first mark stands"
        SECOND = "second", "the second mark stands"
        ONE_MORE = "one_more", "one more head"

    first = models.OneToOneField(Assessment, models.PROTECT, related_name="ruling")
    second = models.OneToOneField(Assessment, models.PROTECT, related_name="+")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="+")
    decision = models.CharField(max_length=8, choices=Decision.choices)
    reason = models.TextField(max_length=2000)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Ruling"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_ruling_reason"),
        ]

    def __str__(self) -> str:
        return self.get_decision_display()
