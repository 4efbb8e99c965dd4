"""Batches of sign-offs that are sampled, and plans after repeated "not yet"."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from academy.assessment.models.signoffs import SignOff
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.curriculum.models import ModuleVersion
from academy.people.models import Academy, Cohort, Person
from academy.web.tokens import TokenField


class SamplePlan(models.Model):
    """A batch of sign-offs, the promise made for it, and the seed it was drawn with."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    name = models.CharField(max_length=80)
    first_day = models.DateField()
    last_day = models.DateField()
    seed = models.PositiveBigIntegerField()
    # What was promised of the random part; empty on batches older than these columns.
    rate = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)
    confidence = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)
    population = models.PositiveIntegerField(null=True, blank=True)
    cohort = models.ForeignKey(Cohort, models.PROTECT, null=True, blank=True, related_name="+")
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="assessment_sampleplan_days_in_order",
            ),
        ]
        ordering = ["-first_day"]

    def __str__(self) -> str:
        return self.name


class SampledDecision(AppendOnlyModel):
    """A sign-off of a batch. `why` is empty for one that was not drawn."""

    class Why(models.TextChoices):
        NOT_DRAWN = "", "not drawn"
        RANDOM = "random", "drawn at random"
        NEW_ASSESSOR = "new_assessor", "one of a new assessor's first five"
        COVERAGE = "coverage", "added so that everybody appears"
        REPLACEMENT = "replacement", "replaces an overturned decision"
        AFTER_APPEAL = "after_appeal", "a head after an appeal"
        AMENDED = "amended", "a head that was withdrawn or ruled on"

    plan = models.ForeignKey(SamplePlan, models.PROTECT, related_name="decisions")
    sign_off = models.OneToOneField(SignOff, models.PROTECT, related_name="sampled")
    why = models.CharField(max_length=12, choices=Why.choices, blank=True)

    objects = AppendOnlyQuerySet["SampledDecision"].as_manager()

    @property
    def drawn(self) -> bool:
        """Whether it is looked at: drawn, or added since; select `added` for lists."""
        return bool(self.why) or hasattr(self, "added")

    @property
    def why_words(self) -> str:
        """Why it is looked at; empty where it is not."""
        if self.why:
            return str(self.get_why_display())
        if hasattr(self, "added"):
            return "added: another of this assessor's was overturned"
        return ""

    def __str__(self) -> str:
        return f"{self.sign_off}: {self.get_why_display()}"


class ActionPlan(models.Model):
    """What the educator agrees with an apprentice after repeated "not yet", with a date."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="action_plans")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="+")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    text = models.TextField(max_length=2000)
    whole_module = models.BooleanField(default=False)
    due_on = models.DateField()
    made_at = models.DateTimeField(default=timezone.now)
    closed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"plan for {self.apprentice}, {self.module_version}"
