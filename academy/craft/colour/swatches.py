"""The academy's ten natural depths as colours: 1 is black, 10 the lightest blonde.

Declared teaching values: no published table of depths stands behind them. Lightness rises in
equal steps of judged brightness (L to the power 0.766) from measured black hair to a declared
lightest blonde; the hues follow a picture of two melanins, rounded.
"""

from __future__ import annotations

from functools import cache

from academy.craft.colour.spaces import Lab

DEPTHS = range(1, 11)
BRIGHTNESS_POWER = 0.766
DARKEST_L, LIGHTEST_L = 18.4, 66.0

_HUES = (
    (1.4, 2.0),
    (4.4, 7.3),
    (5.1, 11.4),
    (4.4, 14.8),
    (4.2, 16.3),
    (3.7, 17.1),
    (2.9, 17.0),
    (1.9, 16.4),
    (1.6, 14.8),
    (0.8, 12.5),
)


def depth_lightness(depth: float) -> float:
    """L of a depth from 1 to 10; a half depth lies halfway in judged brightness."""
    low, high = DARKEST_L**BRIGHTNESS_POWER, LIGHTEST_L**BRIGHTNESS_POWER
    at = low + (high - low) * (depth - 1) / (len(DEPTHS) - 1)
    return float(at ** (1 / BRIGHTNESS_POWER))


@cache
def swatch(depth: int) -> Lab:
    """The colour of a natural depth; `ValueError` for a depth that there is not."""
    if depth not in DEPTHS:
        raise ValueError(f"There is no depth {depth}. Depths run from 1 to 10.")
    return Lab(depth_lightness(depth), *_HUES[depth - 1])


def nearest_depth(lightness: float) -> int:
    """The depth whose swatch is nearest in L; halfway between two the darker one."""
    return min(DEPTHS, key=lambda depth: abs(depth_lightness(depth) - lightness))
