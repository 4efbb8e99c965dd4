"""One file for each exercise family; a new family is one file here and one name in ``FAMILIES``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.blend_two_developers import BlendTwoDevelopers
from academy.craft.exercise.families.cover_white_hair import CoverWhiteHair
from academy.craft.exercise.families.dilute_a_developer import DiluteADeveloper
from academy.craft.exercise.families.foil_plan import FoilPlan
from academy.craft.exercise.families.lightener_and_lift_choice import LightenerAndLiftChoice
from academy.craft.exercise.families.mixing_ratio_quantities import MixingRatioQuantities
from academy.craft.exercise.families.neutralise_a_tone import NeutraliseATone
from academy.craft.exercise.families.strand_check_decision import StrandCheckDecision
from academy.craft.exercise.families.strength_on_the_head import StrengthOnTheHead

if TYPE_CHECKING:
    from academy.craft.exercise.family import Family

_ALL: tuple[Family[Any], ...] = (
    DiluteADeveloper(),
    BlendTwoDevelopers(),
    StrengthOnTheHead(),
    MixingRatioQuantities(),
    CoverWhiteHair(),
    NeutraliseATone(),
    LightenerAndLiftChoice(),
    FoilPlan(),
    StrandCheckDecision(),
)

FAMILIES: dict[tuple[str, int], Family[Any]] = {
    (family.key, family.version): family for family in _ALL
}
"""Every version that was ever published, in teaching order: old rows name theirs."""
