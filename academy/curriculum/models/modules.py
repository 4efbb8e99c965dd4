"""Modules, their frozen editions, and which module needs which."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.curriculum.content import TimePer
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField

if TYPE_CHECKING:
    from enum import StrEnum


def choices(kind: type[StrEnum]) -> list[tuple[str, str]]:
    """The members of an enumeration of the computing or the content, as a field's choices."""
    return [(member.value, member.value.replace("_", " ")) for member in kind]


class ModuleQuerySet(models.QuerySet["Module", "Module"]):
    def visible_to(self, person: Person, academy: Academy) -> ModuleQuerySet:
        """Every member sees the modules that have a published version; educators see drafts too."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        modules = self.filter(academy=academy)
        if Role.EDUCATOR in roles:
            return modules
        return modules.filter(versions__state=ModuleVersion.State.PUBLISHED).distinct()


class Module(models.Model):
    """A technique that is taught and assessed; what it says stands in its versions."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="modules")
    key = models.SlugField(max_length=40)
    position = models.PositiveSmallIntegerField(default=0)

    objects = ModuleQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "key"], name="curriculum_module_key_once"),
        ]
        ordering = ["position", "key"]

    def __str__(self) -> str:
        return self.key


class ModuleVersionQuerySet(FrozenQuerySet["ModuleVersion"]):
    def visible_to(self, person: Person, academy: Academy) -> ModuleVersionQuerySet:
        """Every member sees published and retired versions; educators see drafts too."""
        roles = held_roles_of(person, academy)
        if not roles:
            return self.none()
        versions = self.filter(academy=academy)
        if Role.EDUCATOR in roles:
            return versions
        return versions.exclude(state=ModuleVersion.State.DRAFT)

    def with_parts(self) -> ModuleVersionQuerySet:
        """With all that `content_of` reads: seven queries, however long the module is."""
        return self.select_related("module").prefetch_related(
            "steps", "faults", "criteria", "targets", "sheets", _needs()
        )

    def for_list(self) -> ModuleVersionQuerySet:
        """What a row of the module list shows: three queries, however many modules there are."""
        return (
            self.select_related("module")
            .prefetch_related("targets", _needs())
            .order_by("module__position", "module__key")
        )


def _needs() -> models.Prefetch[str]:
    needs = Prerequisite.objects.select_related("needs").order_by("needs__position", "needs__key")
    return models.Prefetch("prerequisites", needs)


class ModuleVersion(FrozenModel):
    """One edition of a module. A draft may change; a published or retired one never does."""

    frozen_when = ~Q(state="draft")
    frozen_except = ("state", "retired_at")

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        PUBLISHED = "published", "published"
        RETIRED = "retired", "retired"

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="+")
    module = models.ForeignKey(Module, models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    title = models.CharField(max_length=120)
    purpose = models.TextField(max_length=600, blank=True)
    families = models.JSONField(default=list, blank=True)
    cautions = models.JSONField(default=list, blank=True)
    judged_zones = models.JSONField(default=list, blank=True)
    heads_required = models.PositiveSmallIntegerField(default=1)
    months_valid = models.PositiveSmallIntegerField(default=24)
    time_minutes = models.DecimalField(max_digits=5, decimal_places=1, default=30)
    time_per = models.CharField(max_length=5, choices=choices(TimePer), default=TimePer.WORK.value)
    time_note = models.CharField(max_length=200, blank=True)
    based_on = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    changed_at = models.DateTimeField(default=timezone.now)
    published_at = models.DateTimeField(null=True, blank=True)
    published_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = ModuleVersionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["module", "number"], name="curriculum_version_number_once"
            ),
            models.UniqueConstraint(
                fields=["module"],
                condition=Q(state="published"),
                name="curriculum_version_one_published",
            ),
            models.UniqueConstraint(
                fields=["module"], condition=Q(state="draft"), name="curriculum_version_one_draft"
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | Q(published_at__isnull=False),
                name="curriculum_version_published_when",
            ),
        ]
        ordering = ["module", "-number"]

    def __str__(self) -> str:
        return f"{self.title}, version {self.number}"


class Prerequisite(FrozenModel):
    """A module that must be signed off and in date before this version may be assessed."""

    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="prerequisites")
    needs = models.ForeignKey(Module, models.PROTECT, related_name="needed_by")

    objects = FrozenQuerySet["Prerequisite"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "needs"], name="curriculum_prerequisite_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.version} needs {self.needs}"
