"""A small curriculum: two modules, one of which needs the other; made through the services."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from academy.curriculum.content import (
    ModuleContent,
    PracticeUnit,
    TargetLine,
)
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.services import load_modules, start_draft
from tests.site import world

if TYPE_CHECKING:
    from academy.people.models import Academy, Person


def make_content(key: str = "slices", **fields: Any) -> ModuleContent:
    """A module that can be published as it stands: the world's, with more to tell apart."""
    more: dict[str, Any] = {
        "title": key.replace("-", " ").capitalize(),
        "purpose": "Take a thin subsection cleanly.",
        "time_minutes": Decimal("27.5"),
        "families": ("foil-plan",),
        "targets": (TargetLine(4, PracticeUnit.PANELS), TargetLine(1, PracticeUnit.HEADS, "fine")),
    }
    return world.module(key, **{**more, **fields})


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
