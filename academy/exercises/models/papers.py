"""Papers set for a cohort, and the questions drawn for them."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import cached_property

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.craft.exercise.engine import Question as Drawn
from academy.curriculum.models import ModuleVersion, ProductLabel, RuleSet
from academy.people.models import Academy, Cohort, Person, Role, held_roles_of
from academy.web.models import Job
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from collections.abc import Sequence


class PaperQuerySet(models.QuerySet["Paper", "Paper"]):
    def visible_to(self, person: Person, academy: Academy) -> PaperQuerySet:
        """Staff see the academy's papers; an apprentice those of their cohorts meant for them."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        papers = self.filter(academy=academy)
        if roles == (Role.APPRENTICE,):
            own = papers.filter(cohort__places__person=person, withdrawn_at__isnull=True)
            return own.meant_for(person).distinct()
        return papers

    def meant_for(self, person: Person) -> PaperQuerySet:
        """Without the follow-ups in which nothing is set for this person."""
        own = PaperPart.objects.filter(paper=models.OuterRef("pk"), apprentice=person)
        return self.filter(Q(follows__isnull=True) | models.Exists(own))

    def standing(self) -> PaperQuerySet:
        return self.filter(withdrawn_at__isnull=True)

    def not_closed(self) -> PaperQuerySet:
        """Without the tests that have ended for everybody, in the active time zone."""
        over = Q(closed_at__isnull=False) | Q(due_on__lt=timezone.localdate())
        return self.exclude(over, kind=Paper.Kind.TEST)

    def for_list(self, person: Person | None = None) -> PaperQuerySet:
        """With its cohort and the number of questions this person gets (`asked`).

        It is the same for everybody but in a follow-up, where it is empty for all others.
        """
        meant = Q(apprentice__isnull=True)
        if person is not None:
            meant |= Q(apprentice=person)
        asked = (
            PaperPart.objects.filter(meant, paper=models.OuterRef("pk"))
            .order_by()
            .values("paper")
            .annotate(total=models.Sum("count"))
            .values("total")
        )
        counted = self.annotate(asked=models.Subquery(asked))
        return counted.select_related("cohort", "academy").order_by("-set_at", "-pk")

    def due_first(self) -> PaperQuerySet:
        """The next day to hand in first; papers without one after the others."""
        return self.order_by(models.F("due_on").asc(nulls_last=True), "-set_at", "-pk")


class Paper(models.Model):
    """A set of questions for a cohort. Its questions never change once they are drawn.

    `client_key` is that of the page it was set from, so that a double press sets one paper.
    `minutes` is the time a test allows. `closed_at` is when an educator closed a test before its
    last day; its solution is shown from then on. `edition` rises when the paper is edited before
    anybody has begun it: only questions of the paper's edition are asked. `follows` is the paper
    whose slips this one asks for again. `drawing` is the job that draws a paper for many.
    """

    class Kind(models.TextChoices):
        PRACTICE = "practice", "practice"
        TEST = "test", "test"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="papers")
    cohort = models.ForeignKey(Cohort, models.PROTECT, related_name="papers")
    title = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.PRACTICE)
    seed = models.PositiveBigIntegerField()
    same_numbers = models.BooleanField(default=False)
    due_on = models.DateField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    edition = models.PositiveSmallIntegerField(default=1)
    follows = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="follow_ups"
    )
    drawing = models.ForeignKey(Job, models.SET_NULL, null=True, blank=True, related_name="+")
    pass_share = models.PositiveSmallIntegerField(default=80)
    module_version = models.ForeignKey(
        ModuleVersion, models.PROTECT, null=True, blank=True, related_name="papers"
    )
    rule_set = models.ForeignKey(RuleSet, models.PROTECT, null=True, related_name="+")
    set_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    set_at = models.DateTimeField(default=timezone.now)
    client_key = models.CharField(max_length=22, unique=True, null=True, default=None)  # noqa: DJ001
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = PaperQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(pass_share__gte=0, pass_share__lte=100),
                name="exercises_paper_pass_share_range",
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(kind="test", minutes__gte=1),
                name="exercises_paper_only_tests_are_timed",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(kind="test"),
                name="exercises_paper_only_tests_are_closed",
            ),
        ]
        ordering = ["-set_at"]

    def __str__(self) -> str:
        return self.title

    @property
    def withdrawn(self) -> bool:
        return self.withdrawn_at is not None

    @property
    def repeats(self) -> bool:
        """A practice paper may be answered again, on new numbers; a test is answered once."""
        return self.kind == self.Kind.PRACTICE

    @property
    def closes_at(self) -> datetime | None:
        """When nobody writes on this test any more: after its last day, or when it was closed.

        None for practice, and for a test that has neither.
        """
        if self.kind != self.Kind.TEST:
            return None
        moments = [self.closed_at] if self.closed_at else []
        if self.due_on is not None:
            midnight = datetime.combine(self.due_on + timedelta(days=1), time.min)
            moments.append(midnight.replace(tzinfo=ZoneInfo(self.academy.time_zone)))
        return min(moments, default=None)

    def is_closed(self, moment: datetime) -> bool:
        """Whether a test had ended for everybody at a moment."""
        return self.closes_at is not None and moment >= self.closes_at

    @property
    def closed(self) -> bool:
        """Whether a test has ended for everybody."""
        return self.is_closed(timezone.now())

    @property
    def shows_solution(self) -> bool:
        """Whether a marked sheet shows key, slips and solution: at once, of a test once closed."""
        return self.kind == self.Kind.PRACTICE or self.closed

    def is_late(self, moment: datetime) -> bool:
        """Whether a moment lies behind the last day to hand in, in the active time zone."""
        return self.due_on is not None and timezone.localdate(moment) > self.due_on


class PaperPart(models.Model):
    """So many questions of one family at one level.

    `label_fields` is the product label as it read when the paper was set, for apprentices whose
    questions are drawn later; `material` likewise the text of the module version that an order
    exercise is made from. A part with an `apprentice` is for that one alone, and `slip` is the
    one that each of its questions would show.
    """

    paper = models.ForeignKey(Paper, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField()
    family = models.SlugField(max_length=40)
    level = models.CharField(max_length=7)
    count = models.PositiveSmallIntegerField()
    label = models.ForeignKey(ProductLabel, models.PROTECT, null=True, blank=True, related_name="+")
    label_fields = models.JSONField(null=True, blank=True)
    module_version = models.ForeignKey(
        ModuleVersion, models.PROTECT, null=True, blank=True, related_name="+"
    )
    material = models.JSONField(null=True, blank=True)
    apprentice = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    slip = models.SlugField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["paper", "position"], name="exercises_part_position_once"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=40), name="exercises_part_count_range"
            ),
            models.CheckConstraint(
                condition=Q(slip="") | Q(apprentice__isnull=False),
                name="exercises_part_slip_is_somebodys",
            ),
            models.CheckConstraint(
                condition=Q(module_version__isnull=True, material__isnull=True)
                | Q(module_version__isnull=False, material__isnull=False),
                name="exercises_part_made_from_has_its_text",
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.count} of {self.family}, {self.level}"


class PlainJSONField(models.JSONField):
    """A JSON field whose many rows are stored quickly on PostgreSQL too.

    Django hands many rows over as arrays, and psycopg escapes an array of long JSON sign by sign
    in Python: four times the time. A placeholder of its own keeps this field out of arrays.
    """

    def get_placeholder(self, *_: Any) -> str:
        return "%s"

    def deconstruct(self) -> tuple[str, str, Sequence[Any], dict[str, Any]]:
        """Nothing in the database differs, so migrations see the plain field."""
        name, _, args, options = super().deconstruct()
        return name, "django.db.models.JSONField", args, options


class Question(AppendOnlyModel):
    """One drawn question with all that it was drawn and is marked with.

    `apprentice` is empty when everybody gets the same numbers; `attempt` counts the sheets that
    each got numbers of its own. `identity` names the numbers, for "seen before". `drawn` is the
    question's own JSON (`academy.craft.exercise.engine.Question.to_data`): parameters, key,
    mistakes, tolerances, the rules and who decided them, so that it can be printed and marked
    again years later.
    """

    paper = models.ForeignKey(Paper, models.PROTECT, related_name="questions")
    apprentice = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    attempt = models.PositiveSmallIntegerField(default=1)
    edition = models.PositiveSmallIntegerField(default=1)
    position = models.PositiveSmallIntegerField()
    identity = models.CharField(max_length=200)
    drawn_at = models.DateTimeField(default=timezone.now)
    family = models.SlugField(max_length=40)
    family_version = models.PositiveSmallIntegerField()
    level = models.CharField(max_length=7)
    seed = models.PositiveBigIntegerField()
    drawn = PlainJSONField()

    objects = AppendOnlyQuerySet["Question"].as_manager()

    class Meta:
        constraints = [
            # Two, because SQLite holds no unique constraint that compares empty values.
            models.UniqueConstraint(
                fields=["paper", "apprentice", "attempt", "edition", "position"],
                name="exercises_question_position_once",
            ),
            models.UniqueConstraint(
                fields=["paper", "attempt", "edition", "position"],
                condition=Q(apprentice__isnull=True),
                name="exercises_question_common_position_once",
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"question {self.position} of {self.paper}"

    @cached_property
    def question(self) -> Drawn:
        """The question as it was drawn; `queries.standing.counting` puts a corrected one here."""
        return Drawn.from_data(self.drawn)
