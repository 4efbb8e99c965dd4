"""Sign-offs and what a verifier makes of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Case, F, OuterRef, Q, Subquery, When
from django.utils import timezone

from academy.assessment.models.assessments import Assessment
from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.curriculum.models import ModuleVersion, RuleSet
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from datetime import datetime

    from django.db.models.expressions import Combinable


class SignOffQuerySet(AppendOnlyQuerySet["SignOff"]):
    def visible_to(self, person: Person, academy: Academy) -> SignOffQuerySet:
        """An apprentice sees their own sign-offs; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        return rows.filter(apprentice=person) if roles == (Role.APPRENTICE,) else rows

    def standing(self) -> SignOffQuerySet:
        """Not overturned, oldest first, each with `newest_result` and `batch_closed`.

        The result of the newest verification, None where there is none, and the moment its sample
        batch was closed over it: None where it was not, or where the decision was added to the
        batch only afterwards. `verified` says what they come to.
        """
        newest = Verification.objects.filter(sign_off=OuterRef("pk")).order_by("-at", "-pk")
        added_since = Q(sampled__added__at__gt=F("sampled__plan__closed_at"))
        # Passed as a dict: `SignOff` declares both names, which the type checker's plugin would
        # take for a second definition.
        columns: dict[str, Combinable] = {
            "newest_result": Subquery(newest.values("result")[:1]),
            "batch_closed": Case(
                When(added_since, then=None), default=F("sampled__plan__closed_at")
            ),
        }
        return (
            self.annotate(**columns)
            .filter(
                Q(newest_result__isnull=True) | ~Q(newest_result=Verification.Result.OVERTURNED)
            )
            .order_by("signed_at", "pk")
        )


class SignOff(AppendOnlyModel):
    """An assessor's signed decision that an apprentice is competent in a module version."""

    class Method(models.TextChoices):
        PASSWORD = "password", "password"
        PASSKEY = "passkey", "passkey"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="sign_offs")
    module_version = models.ForeignKey(ModuleVersion, models.PROTECT, related_name="sign_offs")
    assessor = models.ForeignKey(Person, models.PROTECT, related_name="given_sign_offs")
    assessments = models.ManyToManyField(
        Assessment, through="SignOffAssessment", related_name="sign_offs"
    )
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    method = models.CharField(max_length=8, choices=Method.choices)
    valid = models.BooleanField()
    sufficient = models.BooleanField()
    authentic = models.BooleanField()
    current = models.BooleanField()
    signed_at = models.DateTimeField(default=timezone.now)
    in_date_until = models.DateField()
    # On rows of `standing()` only.
    newest_result: str | None
    batch_closed: datetime | None

    objects = SignOffQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(assessor=F("apprentice")), name="assessment_signoff_not_oneself"
            ),
            models.CheckConstraint(
                condition=Q(valid=True, sufficient=True, authentic=True, current=True),
                name="assessment_signoff_four_ticks",
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "module_version", "signed_at"])]
        ordering = ["-signed_at"]

    @property
    def verified(self) -> bool:
        """Upheld, or not looked at and its batch closed over it; for rows of `standing()`."""
        if self.newest_result is not None:
            return self.newest_result == Verification.Result.UPHELD
        return self.batch_closed is not None

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.module_version}"


class SignOffAssessment(AppendOnlyModel):
    """One of the assessments a sign-off rests on."""

    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="named")
    assessment = models.ForeignKey(Assessment, models.PROTECT, related_name="+")

    objects = AppendOnlyQuerySet["SignOffAssessment"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sign_off", "assessment"], name="assessment_signoffassessment_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sign_off} rests on {self.assessment}"


class Verification(AppendOnlyModel):
    """A verifier's check of a sign-off; the newest counts, and answers an open action."""

    class Result(models.TextChoices):
        UPHELD = "upheld", "upheld"
        ACTION_NEEDED = "action_needed", "action needed"
        OVERTURNED = "overturned", "overturned"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    sign_off = models.ForeignKey(SignOff, models.PROTECT, related_name="verifications")
    verifier = models.ForeignKey(Person, models.PROTECT, related_name="given_verifications")
    result = models.CharField(max_length=13, choices=Result.choices)
    text = models.TextField(max_length=2000, blank=True)
    due_on = models.DateField(null=True, blank=True)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["Verification"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(result="upheld") | ~Q(text=""), name="assessment_verification_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(result="action_needed") | Q(due_on__isnull=False),
                name="assessment_verification_action_due",
            ),
            models.UniqueConstraint(
                fields=["sign_off"],
                condition=Q(result="overturned"),
                name="assessment_verification_overturned_once",
            ),
        ]
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.sign_off}: {self.get_result_display()}"
