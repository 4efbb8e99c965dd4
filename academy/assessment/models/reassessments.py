"""What comes after a "not yet": the scope of a re-assessment, closed plans, appeals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.assessment.models.samples import ActionPlan
from academy.assessment.models.seconds import SecondAsked
from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from datetime import date


class Reassessment(FrozenModel):
    """That a head follows a "not yet", and which criteria it judges.

    `criteria` are codes in the module's order; empty for the whole module. `whole_because` says
    why it is whole (`craft.judging.reassessment.WholeBecause`).
    """

    frozen_when = Q(assessment__state="submitted")

    assessment = models.OneToOneField(Assessment, models.CASCADE, related_name="reassessment")
    after = models.ForeignKey(Assessment, models.PROTECT, related_name="reassessments")
    criteria = models.JSONField(default=list, blank=True)
    chosen = models.JSONField(
        default=list, blank=True, help_text="Criteria the assessor added to those missed."
    )
    whole_because = models.JSONField(default=list, blank=True)

    objects = FrozenQuerySet["Reassessment"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(assessment=F("after")), name="assessment_reassessment_of_another"
            ),
        ]

    @property
    def partial(self) -> bool:
        return bool(self.criteria)

    def __str__(self) -> str:
        return f"{self.assessment}, again"


class PlanClosing(AppendOnlyModel):
    """An educator closed an action plan, and what came of it."""

    plan = models.OneToOneField(ActionPlan, models.PROTECT, related_name="closing")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    came_of = models.TextField(max_length=2000)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["PlanClosing"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(came_of=""), name="assessment_planclosing_says_what"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan} closed"


class AppealQuerySet(AppendOnlyQuerySet["Appeal"]):
    def visible_to(self, person: Person, academy: Academy) -> AppealQuerySet:
        """An apprentice sees their own appeals; staff see the academy's.

        Never one whose head this person may have to mark blind: that somebody appeals tells what
        its first mark came to.
        """
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return rows.filter(apprentice=person)
        if Role.ASSESSOR in roles:
            kept = Assessment.objects.filter(academy=academy).kept_blind()
            kept = kept.exclude(assessor=person).exclude(apprentice=person).order_by()
            return rows.exclude(assessment__in=kept.values("pk"))
        return rows

    def open(self) -> AppealQuerySet:
        """Neither answered nor taken back."""
        return self.filter(answer__isnull=True, withdrawal__isnull=True)

    def for_list(self) -> AppealQuerySet:
        """With what a row of a list says. Two queries."""
        return self.select_related(
            "apprentice",
            "assessment__module_version",
            "assessment__outcome",
            "assessment__ruling",
            "answer__verifier",
            "withdrawal",
        ).prefetch_related("assessment__second_marks__outcome")


class Appeal(AppendOnlyModel):
    """An apprentice's appeal in writing against a "not yet", to the verifier.

    `answer_by` is the last day for the answer, counted when it was made in the working days of
    the academy's rules.
    """

    class State(models.TextChoices):
        LOOK = "look", "second look to be given"
        LOOKING = "looking", "second look under way"
        RULING = "ruling", "waits for a ruling"
        TO_ANSWER = "to_answer", "to be answered"
        ANSWERED = "answered", "answered"
        WITHDRAWN = "withdrawn", "taken back"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    assessment = models.OneToOneField(Assessment, models.PROTECT, related_name="appeal")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="appeals")
    text = models.TextField(max_length=2000)
    answer_by = models.DateField()
    at = models.DateTimeField(default=timezone.now)

    objects = AppealQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="assessment_appeal_in_writing"),
        ]
        ordering = ["-at"]

    @property
    def state(self) -> State:
        """Where it stands; no query after `for_list`."""
        if hasattr(self, "answer"):
            return self.State.ANSWERED
        if hasattr(self, "withdrawal"):
            return self.State.WITHDRAWN
        first = self.assessment
        second = first.second
        if second is None:
            begun = any(True for _ in first.second_marks.all())
            return self.State.LOOKING if begun else self.State.LOOK
        differ = second.outcome.by_marks != first.outcome.by_marks
        if differ and not hasattr(first, "ruling"):
            return self.State.RULING
        return self.State.TO_ANSWER

    @property
    def runs(self) -> bool:
        """Neither answered nor taken back."""
        return not hasattr(self, "answer") and not hasattr(self, "withdrawal")

    def overdue(self, today: date) -> bool:
        return self.runs and self.answer_by < today

    def __str__(self) -> str:
        return f"appeal of {self.apprentice}, {self.assessment.module_version}"


class AppealAnswer(AppendOnlyModel):
    """The verifier's answer to an appeal: what the looks came to, and why, in words."""

    class Decision(models.TextChoices):
        UPHELD = "upheld", "upheld: the head is competent"
        STANDS = "stands", "not upheld: “not yet” stands"
        ONE_MORE = "one_more", "one more head"

    appeal = models.OneToOneField(Appeal, models.PROTECT, related_name="answer")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="+")
    decision = models.CharField(max_length=8, choices=Decision.choices)
    reason = models.TextField(max_length=2000)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["AppealAnswer"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="assessment_appealanswer_reason"),
        ]

    def __str__(self) -> str:
        return self.get_decision_display()


class AppealWithdrawal(AppendOnlyModel):
    """The apprentice took an appeal back, before a second look was begun for it.

    `calls_off` is the second look that was asked for by the appeal alone; it is not given.
    """

    appeal = models.OneToOneField(Appeal, models.PROTECT, related_name="withdrawal")
    calls_off = models.OneToOneField(
        SecondAsked, models.PROTECT, null=True, blank=True, related_name="called_off"
    )
    reason = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["AppealWithdrawal"].as_manager()

    def __str__(self) -> str:
        return f"{self.appeal}, taken back"
