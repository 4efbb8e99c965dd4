"""How foils are set on a parting, and which settings a hand can lay."""

from __future__ import annotations

import math
from dataclasses import dataclass

from academy.craft.head.shape import HeadError

DEPTH_MM = (3.0, 12.0)
LEFT_MM = (0.0, 30.0)
STITCH_MM = (1.0, 15.0)
GAP_MM = (1.0, 15.0)
FOIL_MM = (40.0, 300.0)

FOIL_OVERLAP = 0.15  # a parting may be this share of a foil longer than its foils


def _refuse_outside(name: str, value: float, limits: tuple[float, float], example: str) -> None:
    low, high = limits
    if not low <= value <= high:
        raise HeadError(
            f"{name} is {value:g} mm. Give {low:g} to {high:g} mm, for example {example}."
        )


@dataclass(frozen=True)
class FoilSettings:
    """How foils are set, in mm; gap 0 makes slices, left 0 sets foil on foil. Raises HeadError."""

    depth_mm: float = 6.0
    left_mm: float = 6.0
    stitch_mm: float = 4.0
    gap_mm: float = 4.0
    foil_mm: float = 100.0

    def __post_init__(self) -> None:
        """Refuse what no hand can lay."""
        _refuse_outside("The section in a foil", self.depth_mm, DEPTH_MM, "5 mm")
        _refuse_outside("The hair left between foils", self.left_mm, LEFT_MM, "8 mm")
        _refuse_outside("The stitch", self.stitch_mm, STITCH_MM, "3 mm")
        if self.gap_mm != 0:
            _refuse_outside("The gap between stitches (0 for slices)", self.gap_mm, GAP_MM, "3 mm")
        _refuse_outside("The foil's width", self.foil_mm, FOIL_MM, "120 mm")

    @property
    def pitch_mm(self) -> float:
        """From one parting to the next."""
        return self.depth_mm + self.left_mm

    @property
    def weave_share(self) -> float:
        """Share of one subsection that is woven out, 0..1; a slice takes all of it."""
        return 1.0 if self.gap_mm == 0 else self.stitch_mm / (self.stitch_mm + self.gap_mm)

    @property
    def woven_share(self) -> float:
        """Share of the hair in a section that goes into foils, 0..1."""
        return self.depth_mm / self.pitch_mm * self.weave_share

    def stitches(self, length_mm: float) -> int:
        """Whole stitches that fit on a parting of this length; a slice is one."""
        if self.gap_mm == 0:
            return 1
        return int((length_mm + self.gap_mm) // (self.stitch_mm + self.gap_mm))

    def foils(self, length_mm: float) -> int:
        """Foils side by side on a run of a parting, at least one."""
        return max(1, math.ceil(length_mm / self.foil_mm - FOIL_OVERLAP))
