"""The content of a module, without Django: read it, check it, compare it, write it out again."""

from __future__ import annotations

from academy.curriculum.content.shape import (
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

__all__ = [
    "ContentError",
    "CriterionContent",
    "FaultContent",
    "ModuleContent",
    "PracticeUnit",
    "Problem",
    "Scope",
    "SheetContent",
    "SheetKind",
    "StepContent",
    "TargetLine",
    "TimePer",
]
