"""Marks given again under corrected rules. The marks given before stay as they are."""

from __future__ import annotations

from django.db import models
from django.utils import timezone
from django.utils.functional import cached_property

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.craft.exercise.engine import Question as Drawn
from academy.curriculum.models import RuleSet
from academy.exercises.models.papers import Paper, Question
from academy.exercises.models.sheets import Answer, AnswerSheet
from academy.people.models import Person
from academy.web.tokens import TokenField


class Remarking(AppendOnlyModel):
    """An educator had a paper marked again under another rule set, and why."""

    token = TokenField()
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="remarkings")
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    reason = models.CharField(max_length=500)

    objects = AppendOnlyQuerySet["Remarking"].as_manager()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"remarking of {self.paper}"


class CorrectedQuestion(AppendOnlyModel):
    """The same numbers under the rules of a remarking: key, tolerances, slips and solution."""

    remarking = models.ForeignKey(Remarking, models.PROTECT, related_name="questions")
    question = models.ForeignKey(Question, models.PROTECT, related_name="corrections")
    drawn = models.JSONField()

    objects = AppendOnlyQuerySet["CorrectedQuestion"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["remarking", "question"], name="exercises_corrected_question_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.question} under {self.remarking}"

    @cached_property
    def corrected(self) -> Drawn:
        """The question as it counts from this remarking on."""
        return Drawn.from_data(self.drawn)


class SheetRemark(AppendOnlyModel):
    """What a handed-in sheet comes to under a remarking. The newest one counts."""

    remarking = models.ForeignKey(Remarking, models.PROTECT, related_name="sheets")
    sheet = models.ForeignKey(AnswerSheet, models.PROTECT, related_name="remarks")
    marks = models.DecimalField(max_digits=6, decimal_places=2)
    possible = models.DecimalField(max_digits=6, decimal_places=2)
    not_safe = models.BooleanField()
    passed = models.BooleanField()

    objects = AppendOnlyQuerySet["SheetRemark"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["remarking", "sheet"], name="exercises_sheet_remark_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sheet} under {self.remarking}"


class AnswerRemark(AppendOnlyModel):
    """How one answer is marked under a remarking."""

    remark = models.ForeignKey(SheetRemark, models.PROTECT, related_name="answers")
    answer = models.ForeignKey(Answer, models.PROTECT, related_name="remarks")
    verdict = models.CharField(max_length=14, choices=Answer.Verdict.choices)
    mistake = models.SlugField(max_length=40, blank=True)
    marks = models.DecimalField(max_digits=5, decimal_places=2)
    unsafe = models.BooleanField()

    objects = AppendOnlyQuerySet["AnswerRemark"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["remark", "answer"], name="exercises_answer_remark_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.answer} under {self.remark}"
