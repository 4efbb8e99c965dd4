"""What warm stages and the tones that cancel them look like. Declared teaching values.

The words and which tone cancels which belong to the trade: ``academy.craft.formula.undertone``. In
CIELAB the opposite of a stage lies up to 71 degrees off the trade's counter-tone
(``shared/checks/wheel.csv``), so these colours show what words mean and judge nothing.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from academy.craft.colour.spaces import Lab

if TYPE_CHECKING:
    from collections.abc import Mapping

STAGE_LOOKS: Mapping[str, Lab] = MappingProxyType(
    {
        "red": Lab(27.0, 17.0, 13.0),
        "red-orange": Lab(35.0, 20.0, 22.0),
        "orange": Lab(45.0, 19.0, 34.0),
        "yellow-orange": Lab(55.0, 12.0, 38.0),
        "yellow": Lab(66.0, 4.0, 38.0),
        "pale yellow": Lab(76.0, 0.0, 26.0),
    }
)
"""Hair lifted as far as it shows this warmth."""

PAINT_HUES: Mapping[str, float] = MappingProxyType(
    {"green": 146.0, "blue-green": 219.0, "blue": 292.0, "blue-violet": 304.0, "violet": 315.0}
)
"""The hue of the paint that a counter-tone is called after, in degrees."""

PAINT_LIGHTNESS, PAINT_CHROMA = 50.0, 28.0
"""One lightness and strength for all of them, such that a display can show each."""


def counter_look(tone: str) -> Lab | None:
    """A counter-tone as a paint; None for a tone that cancels no warmth."""
    hue = PAINT_HUES.get(tone)
    return None if hue is None else Lab.of_hue(PAINT_LIGHTNESS, PAINT_CHROMA, hue)
