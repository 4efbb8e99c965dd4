"""What an edition consists of: steps, faults, criteria, practice targets and sheets."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.craft.head.zones import Zone
from academy.curriculum.content import PracticeUnit, Scope, SheetKind
from academy.curriculum.models.modules import ModuleVersion, choices


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
    # An own pattern as `academy.craft.head.drawn.DrawnSection` writes it.
    drawn = models.TextField(max_length=1200, blank=True)
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
