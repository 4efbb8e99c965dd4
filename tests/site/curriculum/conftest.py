"""A small curriculum: two modules, one of which needs the other; made through the services."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    CriterionContent,
    FaultContent,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
)
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.services import load_modules, start_draft

if TYPE_CHECKING:
    from academy.people.models import Academy, Person

LEVELS = ("Nothing.", "Wrong.", "Right in part.", "To standard.", "Even and calm.")


def make_content(key: str = "slices", **fields: Any) -> ModuleContent:
    """A module that can be published as it stands."""
    whole: dict[str, Any] = {
        "title": key.replace("-", " ").capitalize(),
        "purpose": "Take a thin subsection cleanly.",
        "time_minutes": Decimal("27.5"),
        "cautions": ("K6",),
        "families": ("foil-plan",),
        "judged_zones": (Zone.OCCIPITAL,),
        "steps": (StepContent("Clip", "Clip the panel."), StepContent("Part", "Draw a line.")),
        "faults": (FaultContent("Wedge", "The comb was tipped."),),
        "criteria": (
            CriterionContent("S1", "Depth", Scope.ZONES, LEVELS, weight=2),
            CriterionContent(
                "S2", "Gloves", Scope.HEAD, LEVELS, must_pass=True, must_pass_reason="Skin burns."
            ),
        ),
        "targets": (TargetLine(4, PracticeUnit.PANELS), TargetLine(1, PracticeUnit.HEADS, "fine")),
        "sheets": (
            SheetContent(
                SheetKind.PATTERN,
                "one_panel",
                Zone.OCCIPITAL,
                depth_mm=Decimal(6),
                left_mm=Decimal("6.5"),
                foil_mm=Decimal(100),
            ),
        ),
    }
    return ModuleContent(key, **{**whole, **fields})


@pytest.fixture
def slices(academy: Academy) -> ModuleVersion:
    """The published version 1 of a module that needs another one."""
    contents = [make_content("quarters"), make_content("slices", needs=("quarters",))]
    load_modules(academy=academy, by=None, contents=contents)
    return ModuleVersion.objects.with_parts().get(module__key="slices")


@pytest.fixture
def module(slices: ModuleVersion) -> Module:
    return slices.module


@pytest.fixture
def draft(module: Module, educator: Person) -> ModuleVersion:
    """The open draft of version 2, a copy of version 1."""
    return start_draft(module=module, by=educator)


@pytest.fixture
def base(academy: Academy) -> str:
    """The address under which the curriculum's pages lie."""
    return f"/{academy.slug}/modules/"
