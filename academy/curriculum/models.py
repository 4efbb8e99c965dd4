"""Modules and their frozen editions, awards, house rules and product labels."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from academy.audit.appendonly import (
    AppendOnlyModel,
    AppendOnlyQuerySet,
    FrozenModel,
    FrozenQuerySet,
)
from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit, Scope, SheetKind, TimePer
from academy.people.models import Academy, Person, Role, held_roles_of
from academy.web.tokens import TokenField


def choices(kind: type[Scope | PracticeUnit | TimePer | SheetKind | Zone]) -> list[tuple[str, str]]:
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


class Step(FrozenModel):
    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    head = models.CharField(max_length=120)
    text = models.TextField(max_length=600, blank=True)
    to_confirm = models.BooleanField(default=False)

    objects = FrozenQuerySet["Step"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "position"], name="curriculum_step_position_once"
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.position} {self.head}"


class Fault(FrozenModel):
    """A fault that can be marked on the head; its cause is a hint, never a verdict."""

    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="faults")
    position = models.PositiveSmallIntegerField()
    fault = models.CharField(max_length=160)
    cause = models.CharField(max_length=240, blank=True)

    objects = FrozenQuerySet["Fault"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "position"], name="curriculum_fault_position_once"
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return self.fault


class Criterion(FrozenModel):
    """One thing that is judged, with the words for levels 0 to 4; it is met at level 3."""

    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="criteria")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=8)
    title = models.CharField(max_length=160)
    scope = models.CharField(max_length=5, choices=choices(Scope))
    weight = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    must_pass = models.BooleanField(default=False)
    must_pass_reason = models.CharField(max_length=200, blank=True)
    level_0 = models.CharField(max_length=240)
    level_1 = models.CharField(max_length=240)
    level_2 = models.CharField(max_length=240)
    level_3 = models.CharField(max_length=240)
    level_4 = models.CharField(max_length=240)
    to_confirm = models.BooleanField(default=False)

    objects = FrozenQuerySet["Criterion"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "code"], name="curriculum_criterion_code_once"
            ),
            models.CheckConstraint(
                condition=Q(weight__gte=1, weight__lte=5), name="curriculum_criterion_weight_range"
            ),
            models.CheckConstraint(
                condition=Q(must_pass=False) | ~Q(must_pass_reason=""),
                name="curriculum_criterion_must_pass_reason",
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.code} {self.title}"

    @property
    def levels(self) -> tuple[str, str, str, str, str]:
        """The words for levels 0 to 4."""
        return (self.level_0, self.level_1, self.level_2, self.level_3, self.level_4)


class TargetLine(FrozenModel):
    """One line of the practice target; with a tag, only practice that carries it counts."""

    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="targets")
    position = models.PositiveSmallIntegerField()
    count = models.PositiveSmallIntegerField()
    unit = models.CharField(max_length=8, choices=choices(PracticeUnit))
    tag = models.CharField(max_length=40, blank=True)

    objects = FrozenQuerySet["TargetLine"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "position"], name="curriculum_target_position_once"
            ),
            models.CheckConstraint(
                condition=Q(count__gte=1), name="curriculum_target_count_positive"
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return " ".join(part for part in (self.unit, str(self.count), self.tag) if part)


class Sheet(FrozenModel):
    """One head sheet of an assessed head; sizes in millimetres."""

    frozen_when = ~Q(version__state="draft")

    version = models.ForeignKey(ModuleVersion, models.CASCADE, related_name="sheets")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=7, choices=choices(SheetKind))
    pattern = models.CharField(max_length=20, blank=True)
    zone = models.CharField(max_length=10, blank=True, choices=choices(Zone))
    depth_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    left_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    stitch_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    gap_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    foil_mm = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    to_confirm = models.BooleanField(default=False)

    objects = FrozenQuerySet["Sheet"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "position"], name="curriculum_sheet_position_once"
            ),
        ]
        ordering = ["position"]

    def __str__(self) -> str:
        return self.pattern or self.kind


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


class AwardQuerySet(models.QuerySet["Award", "Award"]):
    def visible_to(self, person: Person, academy: Academy) -> AwardQuerySet:
        """Every member sees the academy's awards."""
        return self.filter(academy=academy) if held_roles_of(person, academy) else self.none()

    def for_list(self) -> AwardQuerySet:
        """With its modules in the order of the list. Two queries."""
        modules = Module.objects.order_by("position", "key")
        return self.prefetch_related(models.Prefetch("modules", modules))


class Award(models.Model):
    """The set of modules that is certified together."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="awards")
    key = models.SlugField(max_length=40)
    position = models.PositiveSmallIntegerField(default=0)
    title = models.CharField(max_length=120)
    modules = models.ManyToManyField(Module, related_name="awards")
    months_valid = models.PositiveSmallIntegerField(default=24)
    mannequin_counts = models.BooleanField(default=True)
    two_assessors = models.BooleanField(default=True)

    objects = AwardQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "key"], name="curriculum_award_key_once"),
        ]
        ordering = ["position", "key"]

    def __str__(self) -> str:
        return self.title


class RuleSet(AppendOnlyModel):
    """The academy's house rules under one number. A change is a new number; old ones stay."""

    academy = models.ForeignKey(Academy, models.PROTECT, related_name="rule_sets")
    number = models.PositiveIntegerField()
    rules = models.JSONField(default=dict, blank=True)
    note = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)

    objects = AppendOnlyQuerySet["RuleSet"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["academy", "number"], name="curriculum_ruleset_number_once"
            ),
        ]
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"house rules {self.number}"


class ProductLabel(models.Model):
    """A maker's instructions as the academy entered them; a label beats a house rule."""

    token = TokenField()
    academy = models.ForeignKey(Academy, models.PROTECT, related_name="product_labels")
    key = models.SlugField(max_length=40)
    name = models.CharField(max_length=80)
    fields = models.JSONField(default=dict)
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    entered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["academy", "key"], name="curriculum_label_key_once"),
        ]
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
