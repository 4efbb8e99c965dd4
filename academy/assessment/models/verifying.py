"""Around a verification: who was named for it, how an action was answered, what was added."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.assessment.models.samples import SampledDecision
from academy.assessment.models.signoffs import SignOff, Verification
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.people.models import Person


class VerifierNamed(AppendOnlyModel):
    """A manager named the verifier of a sign-off; the newest row counts."""

    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="named_verifiers")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["VerifierNamed"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_verifiernamed_reason"),
        ]
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.sign_off}: {self.verifier}"


class ActionAnswer(AppendOnlyModel):
    """What was done about an action a verifier asked for; the verifier's next look closes it."""

    verification = models.OneToOneField(Verification, models.PROTECT, related_name="answer")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    text = models.TextField(max_length=2000)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["ActionAnswer"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="assessment_actionanswer_text"),
        ]

    def __str__(self) -> str:
        return f"answer to {self.verification}"


class AddedDecision(AppendOnlyModel):
    """A decision of a batch that was not drawn, looked at because one like it was overturned."""

    sampled = models.OneToOneField(SampledDecision, models.PROTECT, related_name="added")
    because = models.ForeignKey(Verification, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["AddedDecision"].as_manager()

    def __str__(self) -> str:
        return f"{self.sampled} added"
