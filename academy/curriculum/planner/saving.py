"""A plan as a sheet of a module, and the modules it can go into."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.head.sectioning import PATTERNS
from academy.curriculum.content import SheetContent, SheetKind
from academy.curriculum.content.sheets import drawn_text
from academy.curriculum.models import ModuleVersion

if TYPE_CHECKING:
    from academy.craft.head.foils import Plan
    from academy.people.models import Academy


def sheet_content(laid: Plan) -> SheetContent:
    """What a module keeps of a plan: pattern and sizes; its head is the training head."""

    def mm(size: float) -> Decimal:
        return Decimal(f"{size:g}")

    settings = laid.settings
    base = SheetContent(
        SheetKind.PATTERN,
        laid.pattern,
        laid.zone,
        drawn_text(laid.drawn) if laid.drawn else "",
        depth_mm=mm(settings.depth_mm),
    )
    if not PATTERNS[laid.pattern].foils:
        return base
    woven = settings.gap_mm > 0
    return SheetContent(
        base.kind,
        base.pattern,
        base.zone,
        base.drawn,
        base.depth_mm,
        mm(settings.left_mm),
        mm(settings.stitch_mm) if woven else None,
        mm(settings.gap_mm) if woven else None,
        mm(settings.foil_mm),
    )


def modules_to_save_in(academy: Academy) -> list[tuple[str, str]]:
    """Token and title of every module, the title from its newest version. One query."""
    rows = (
        ModuleVersion.objects.filter(academy=academy)
        .exclude(state=ModuleVersion.State.RETIRED)
        .select_related("module")
        .order_by("module__position", "number")
    )
    return list({row.module.token: (row.module.token, row.title) for row in rows}.values())
