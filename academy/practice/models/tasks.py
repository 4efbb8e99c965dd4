"""Tasks: "three nape panels by the 14th", set by an educator for one apprentice."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from academy.audit.appendonly import AppendOnlyModel, AppendOnlyQuerySet
from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit
from academy.curriculum.models import Module, choices
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.practice.words import counted_words
from academy.web.tokens import TokenField
from academy.web.words import ZONE_WORDS


class TaskQuerySet(AppendOnlyQuerySet["Task"]):
    def visible_to(self, person: Person, academy: Academy) -> TaskQuerySet:
        """An apprentice sees their own tasks; staff see the academy's."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        rows = self.filter(academy=academy)
        return rows.filter(apprentice=person) if roles == (Role.APPRENTICE,) else rows

    def standing(self) -> TaskQuerySet:
        """Not withdrawn."""
        return self.filter(withdrawal__isnull=True)

    def for_list(self) -> TaskQuerySet:
        """With what a row of a list says, but how much is done: `queries.done_of` adds that."""
        return self.select_related("apprentice", "educator", "module", "withdrawal__educator")


class Task(AppendOnlyModel):
    """So many of a unit in a module, in one zone where it is named, until a day.

    How much is done is counted from the sessions begun after it was set; nobody ticks it off.
    """

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    apprentice = models.ForeignKey(Person, models.PROTECT, related_name="tasks")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    module = models.ForeignKey(Module, models.PROTECT, related_name="+")
    title = models.CharField(max_length=120, help_text="The module's title when it was set.")
    count = models.PositiveSmallIntegerField()
    unit = models.CharField(max_length=8, choices=choices(PracticeUnit))
    zone = models.CharField(max_length=10, choices=choices(Zone), blank=True)
    note = models.CharField(max_length=400, blank=True)
    due_on = models.DateField()
    set_at = models.DateTimeField(default=timezone.now)

    objects = TaskQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(count__gte=1, count__lte=100), name="practice_task_count_range"
            ),
            models.CheckConstraint(
                condition=~Q(educator=F("apprentice")), name="practice_task_not_oneself"
            ),
        ]
        indexes = [models.Index(fields=["apprentice", "due_on"])]
        ordering = ["due_on", "pk"]

    @property
    def words(self) -> str:
        """For example "3 panels, nape"."""
        counted = counted_words(self.count, self.unit)
        return f"{counted}, {ZONE_WORDS[self.zone]}" if self.zone else counted

    @property
    def withdrawn(self) -> bool:
        """Whether the educator took it back; no query after `for_list`."""
        return hasattr(self, "withdrawal")

    def __str__(self) -> str:
        return f"{self.words}, {self.title}"


class TaskWithdrawal(AppendOnlyModel):
    """An educator took a task back, with the reason the apprentice reads."""

    task = models.OneToOneField(Task, models.PROTECT, related_name="withdrawal")
    educator = models.ForeignKey(Person, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=400)
    at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["TaskWithdrawal"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="practice_taskwithdrawal_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.task} withdrawn"
