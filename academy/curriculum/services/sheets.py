"""A sheet worked out in the planner goes into the draft of a module."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from django.db import transaction

from academy.curriculum.rows import content_of
from academy.curriculum.services.common import (
    State,
    lock_curriculum,
    locked_draft,
    require_educator,
)
from academy.curriculum.services.drafts import start_draft, write_draft

if TYPE_CHECKING:
    from academy.curriculum.content import SheetContent
    from academy.curriculum.models import Module, ModuleVersion
    from academy.people.models import Person


@transaction.atomic
def add_sheet(*, module: Module, sheet: SheetContent, by: Person | None) -> ModuleVersion:
    """Put a sheet behind those that the module's draft has; the draft.

    Where there is no draft, one is started as a copy of the published version, with its entry;
    what is then written into it is a draft's touch and none.
    """
    require_educator(module.academy, by)
    lock_curriculum(module.academy)
    draft = module.versions.filter(state=State.DRAFT).first() or start_draft(module=module, by=by)
    content = content_of(locked_draft(draft))
    write_draft(version=draft, content=replace(content, sheets=(*content.sheets, sheet)), by=by)
    return draft
