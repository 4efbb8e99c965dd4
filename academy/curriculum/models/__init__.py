"""Modules and their frozen editions, awards, house rules and product labels."""

from __future__ import annotations

from academy.curriculum.models.awards import Award as Award, AwardQuerySet as AwardQuerySet
from academy.curriculum.models.house import ProductLabel as ProductLabel, RuleSet as RuleSet
from academy.curriculum.models.modules import (
    Module as Module,
    ModuleQuerySet as ModuleQuerySet,
    ModuleVersion as ModuleVersion,
    ModuleVersionQuerySet as ModuleVersionQuerySet,
    Prerequisite as Prerequisite,
    choices as choices,
)
from academy.curriculum.models.parts import (
    Criterion as Criterion,
    Fault as Fault,
    Sheet as Sheet,
    Step as Step,
    TargetLine as TargetLine,
)
