"""One file for each exercise family; a new family is one file here and one name in ``FAMILIES``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.blend_two_developers import BlendTwoDevelopers
from academy.craft.exercise.families.cover_white_hair import CoverWhiteHair
from academy.craft.exercise.families.dilute_a_developer import DiluteADeveloper
from academy.craft.exercise.families.estimate_white_percentage import EstimateWhitePercentage
from academy.craft.exercise.families.eye_corners import EyeCorners
from academy.craft.exercise.families.eye_depth import EyeDepth
from academy.craft.exercise.families.eye_white_share import EyeWhiteShare
from academy.craft.exercise.families.eye_woven_share import EyeWovenShare
from academy.craft.exercise.families.find_the_error import FindTheError
from academy.craft.exercise.families.foil_plan import FoilPlan
from academy.craft.exercise.families.gloss_equal_parts import GlossEqualParts
from academy.craft.exercise.families.legal_and_safety_gate import LegalAndSafetyGate
from academy.craft.exercise.families.lightener_and_lift_choice import LightenerAndLiftChoice
from academy.craft.exercise.families.mixing_ratio_quantities import MixingRatioQuantities
from academy.craft.exercise.families.neutralise_a_tone import NeutraliseATone
from academy.craft.exercise.families.order_of_a_two_process_plan import OrderOfATwoProcessPlan
from academy.craft.exercise.families.order_of_steps import OrderOfSteps
from academy.craft.exercise.families.pre_pigment_plan import PrePigmentPlan
from academy.craft.exercise.families.scale_a_recipe_to_a_head import ScaleARecipe
from academy.craft.exercise.families.strand_check_decision import StrandCheckDecision
from academy.craft.exercise.families.strength_on_the_head import StrengthOnTheHead
from academy.craft.exercise.families.two_process_timing import TwoProcessTiming

if TYPE_CHECKING:
    from academy.craft.exercise.family import Family

_ALL: tuple[Family[Any], ...] = (
    DiluteADeveloper(),
    BlendTwoDevelopers(),
    StrengthOnTheHead(),
    MixingRatioQuantities(),
    ScaleARecipe(),
    CoverWhiteHair(),
    NeutraliseATone(),
    LightenerAndLiftChoice(),
    GlossEqualParts(),
    FoilPlan(),
    TwoProcessTiming(),
    StrandCheckDecision(),
    LegalAndSafetyGate(),
    FindTheError(),
    PrePigmentPlan(),
    EstimateWhitePercentage(),
    EyeWhiteShare(),
    EyeDepth(),
    EyeWovenShare(),
    EyeCorners(),
    OrderOfSteps(),
    OrderOfATwoProcessPlan(),
)

FAMILIES: dict[tuple[str, int], Family[Any]] = {
    (family.key, family.version): family for family in _ALL
}
"""Every version that was ever published, in teaching order: old rows name theirs."""
