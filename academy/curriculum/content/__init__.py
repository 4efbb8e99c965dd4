"""The content of a module, without Django: read it, check it, compare it, write it out again."""

from __future__ import annotations

from academy.curriculum.content.checking import Known, check
from academy.curriculum.content.comparing import Change, Difference, differences
from academy.curriculum.content.needs import check_needs
from academy.curriculum.content.reading import as_dict, parse_module
from academy.curriculum.content.shape import (
    LEVEL_COUNT,
    ContentError,
    CriterionContent,
    FaultContent,
    ModuleContent,
    PracticeUnit,
    Problem,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
    TimePer,
)
from academy.curriculum.content.sheets import PATTERN_ZONES
from academy.curriculum.content.words import tag_words

__all__ = [
    "LEVEL_COUNT",
    "PATTERN_ZONES",
    "Change",
    "ContentError",
    "CriterionContent",
    "Difference",
    "FaultContent",
    "Known",
    "ModuleContent",
    "PracticeUnit",
    "Problem",
    "Scope",
    "SheetContent",
    "SheetKind",
    "StepContent",
    "TargetLine",
    "TimePer",
    "as_dict",
    "check",
    "check_needs",
    "differences",
    "parse_module",
    "tag_words",
]
