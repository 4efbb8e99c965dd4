"""Papers set for a cohort, the questions drawn for them, and what apprentices answered."""

from __future__ import annotations

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.curriculum.models import ModuleVersion, ProductLabel, RuleSet
from academy.people.models import Academy, Cohort, Person, Role, held_roles_of
from academy.web.tokens import TokenField


class PaperQuerySet(models.QuerySet["Paper", "Paper"]):
    def visible_to(self, person: Person, academy: Academy) -> PaperQuerySet:
        """Staff see the academy's papers; an apprentice the papers of their cohorts."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        papers = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            return papers.filter(
                cohort__places__person=person, withdrawn_at__isnull=True
            ).distinct()
        return papers


class Paper(models.Model):
    """A set of questions for a cohort. Its questions never change once they are drawn."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="papers")
    cohort = models.ForeignKey(Cohort, models.PROTECT, related_name="papers")
    title = models.CharField(max_length=120)
    seed = models.PositiveBigIntegerField()
    same_numbers = models.BooleanField(default=False)
    due_on = models.DateField(null=True, blank=True)
    pass_share = models.PositiveSmallIntegerField(default=80)
    module_version = models.ForeignKey(
        ModuleVersion, models.PROTECT, null=True, blank=True, related_name="papers"
    )
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    set_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = PaperQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pass_share__gte=0, pass_share__lte=100),
                name="exercises_paper_pass_share_range",
            ),
        ]
        ordering = ["-set_at"]

    def __str__(self) -> str:
        return self.title


class PaperPart(models.Model):
    """So many questions of one family at one level."""

    paper = models.ForeignKey(Paper, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    family = models.SlugField(max_length=40)
    level = models.CharField(max_length=7)
    count = models.PositiveSmallIntegerField()
    label = models.ForeignKey(ProductLabel, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "position"], name="exercises_part_position_once"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=40), name="exercises_part_count_range"
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.count} of {self.family}, {self.level}"


class Question(AppendOnlyModel):
    """One drawn question with all that it was drawn and is marked with.

    `apprentice` is empty when everybody gets the same numbers. `drawn` is the question's own JSON
    (`academy.craft.exercise.engine.Question.to_json`): parameters, key, mistakes, tolerances, the
    rules and who decided them, so that it can be printed and marked again years later.
    """

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="questions")
    apprentice = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    position = models.PositiveSmallIntegerField()
    family = models.SlugField(max_length=40)
    family_version = models.PositiveSmallIntegerField()
    level = models.CharField(max_length=7)
    seed = models.PositiveBigIntegerField()
    drawn = models.JSONField()

    objects = AppendOnlyQuerySet["Question"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "apprentice", "position"],
                name="exercises_question_position_once",
                nulls_distinct=False,
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"question {self.position} of {self.paper}"


class AnswerSheet(FrozenModel):
    """One apprentice's answers to one paper. A handed-in sheet is marked and stands."""

    frozen_when = Q(submitted_at__isnull=False)

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    paper = models.ForeignKey(Paper, models.PROTECT, related_name="sheets")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="answer_sheets")
    attempt = models.PositiveSmallIntegerField(default=1)
    started_at = models.DateTimeField(default=timezone.now)
    submitted_at = models.DateTimeField(null=True, blank=True)
    marks = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    possible = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    not_safe = models.BooleanField(default=False)
    passed = models.BooleanField(default=False)

    objects = FrozenQuerySet["AnswerSheet"].as_manager()

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
        ]
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return f"{self.apprentice}, {self.paper}, attempt {self.attempt}"


class Answer(FrozenModel):
    """What was written in one field, and how it was marked once the sheet was handed in."""

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

    objects = FrozenQuerySet["Answer"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "question", "field"], name="exercises_answer_field_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.field}: {self.written}"
