"""What apprentices answered, and how it was marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.exercises.models.papers import Paper, Question
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from academy.exercises.models.remarks import SheetRemark


class AnswerSheetQuerySet(FrozenQuerySet["AnswerSheet"]):
    def visible_to(self, person: Person, academy: Academy) -> AnswerSheetQuerySet:
        """Staff see the academy's sheets, an apprentice their own."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        sheets = self.filter(academy=academy)
        return sheets.filter(apprentice=person) if roles == (Role.APPRENTICE,) else sheets

    def handed_in(self) -> AnswerSheetQuerySet:
        return self.filter(submitted_at__isnull=False)

    def for_sheet(self) -> AnswerSheetQuerySet:
        return self.select_related("paper__cohort", "paper__academy", "apprentice", "entered_by")


class AnswerSheet(FrozenModel):
    """One apprentice's answers to one paper. A handed-in sheet is marked and stands.

    `ends_at` is when the time of a test is up. `entered_by` is the member of staff who typed in
    what was answered on paper. Marks given again under other rules are rows of their own
    (`SheetRemark`); what counts now is read with `AnswerSheet.objects.standing()`.
    """

    frozen_when = Q(submitted_at__isnull=False)

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="sheets")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="answer_sheets")
    attempt = models.PositiveSmallIntegerField(default=1)
    started_at = models.DateTimeField(default=timezone.now)
    submitted_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    marks = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    possible = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    not_safe = models.BooleanField(default=False)
    passed = models.BooleanField(default=False)

    objects = AnswerSheetQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "apprentice", "attempt"], name="exercises_sheet_attempt_once"
            ),
            models.UniqueConstraint(
                fields=["paper", "apprentice"],
                condition=Q(submitted_at__isnull=True),
                name="exercises_sheet_one_open",
            ),
            models.CheckConstraint(
                condition=Q(submitted_at__isnull=True) | Q(marks__isnull=False),
                name="exercises_sheet_submitted_marked",
            ),
            models.CheckConstraint(
                condition=Q(ends_at__isnull=True) | Q(ends_at__gt=models.F("started_at")),
                name="exercises_sheet_ends_after_it_starts",
            ),
        ]
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.paper}, attempt {self.attempt}"

    @property
    def stands(self) -> SheetRemark | AnswerSheet:
        """What counts now: the newest marks given again, or the sheet's own.

        One query, none where `remarks` are prefetched.
        """
        return max(self.remarks.all(), key=lambda remark: remark.pk, default=self)

    @property
    def handed_in(self) -> bool:
        return self.submitted_at is not None


class Answer(FrozenModel):
    """What was written in one field, and how it was marked once the sheet was handed in.

    `kept_at` is when the field was last changed, for the time that a question took.
    """

    frozen_when = Q(sheet__submitted_at__isnull=False)

    class Verdict(models.TextChoices):
        OPEN = "", "not marked yet"
        RIGHT = "right", "right"
        FOLLOW_THROUGH = "follow_through", "right method, carried-over figure"
        SLIP = "slip", "a known slip"
        WRONG = "wrong", "wrong"
        UNREAD = "unread", "could not be read"
        EMPTY = "empty", "left empty"

    sheet = models.ForeignKey(AnswerSheet, models.CASCADE, related_name="answers")
    question = models.ForeignKey(Question, models.PROTECT, related_name="answers")
    field = models.SlugField(max_length=40)
    written = models.CharField(max_length=500, blank=True)
    read_as = models.CharField(max_length=80, blank=True)
    verdict = models.CharField(max_length=14, choices=Verdict.choices, blank=True, default="")
    mistake = models.SlugField(max_length=40, blank=True)
    marks = models.DecimalField(max_digits=5, decimal_places=2, default=0)
    unsafe = models.BooleanField(default=False)
    kept_at = models.DateTimeField(null=True, blank=True)

    objects = FrozenQuerySet["Answer"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "question", "field"], name="exercises_answer_field_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.field}: {self.written}"
