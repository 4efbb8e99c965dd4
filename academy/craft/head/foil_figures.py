"""What goes into each foil: hair, powder and developer, and for how long compared with the others.

Powder is what the rules in force give for one foil (trade page 2.9); hair is counted from the
area that is woven out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.head.shape import HeadError

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.head.foils import Plan
    from academy.craft.head.zones import Zone

# Terminal hairs on an adult scalp, 175 to 300: Barman 1965, read as BioNumbers 116431. One head's
# number is declared here, not measured; zones differ.
HAIRS_PER_CM2 = 223.0


@dataclass(frozen=True)
class FoilFigures:
    """One foil: its place, its hair, and its product in grams, not rounded."""

    number: int
    zone: Zone
    exposure_rank: int  # 1 is exposed longest, when all foils are opened together
    length_mm: float
    stitches: int
    share_of_head: float  # of all hair, 0..1
    hairs: float
    powder_g: Decimal
    developer_g: Decimal


def foil_figures(
    plan: Plan,
    powder_g: Decimal,
    developer_parts: Decimal,
    *,
    hairs_per_cm2: float = HAIRS_PER_CM2,
) -> tuple[FoilFigures, ...]:
    """The figures of every foil in laying order.

    `powder_g` is the powder for one foil, `developer_parts` the parts of developer to one part of
    powder. HeadError for weights or a density that are not above 0.
    """
    if not (powder_g.is_finite() and powder_g > 0):
        raise HeadError(f"Powder for one foil is {powder_g} g. Give more than 0 g, such as 0.9 g.")
    if not (developer_parts.is_finite() and developer_parts > 0):
        raise HeadError(
            f"Developer is {developer_parts} parts to 1 of powder. Give more than 0, such as 1.2."
        )
    if not hairs_per_cm2 > 0:
        raise HeadError(f"A scalp with {hairs_per_cm2:g} hairs on 1 cm² has no foils.")
    return tuple(
        FoilFigures(
            foil.number,
            foil.zone,
            foil.exposure_rank,
            foil.length_mm,
            foil.stitches,
            plan.share_of_head(foil),
            plan.woven_cm2(foil) * hairs_per_cm2,
            powder_g,
            powder_g * developer_parts,
        )
        for foil in plan.foils
    )
