"""How far two colours lie apart for an eye: CIEDE2000.

ISO/CIE 11664-6, written out after G. Sharma, W. Wu and E. N. Dalal (2005), The CIEDE2000
color-difference formula: implementation notes, Color Research and Application 30(1):21-30.

It says how far depths and swatches lie apart. Which tone cancels another is a matter of the trade's
wheel and never of this formula.
"""

from __future__ import annotations

import math

from academy.craft.colour.spaces import Lab

_GREY_UP_TO = 25.0**7


def ciede2000(one: Lab, other: Lab) -> float:
    """The difference of two colours, 0 for the same; kL = kC = kH = 1."""
    stretch = 1.5 - 0.5 * _share((one.chroma + other.chroma) / 2)
    p, q = Lab(one.L, one.a * stretch, one.b), Lab(other.L, other.a * stretch, other.b)
    chroma = (p.chroma + q.chroma) / 2
    turn, hue = _hues(p, q)
    d_light = (q.L - p.L) / _light_scale((p.L + q.L) / 2)
    d_chroma = (q.chroma - p.chroma) / (1 + 0.045 * chroma)
    d_hue = 2 * math.sqrt(p.chroma * q.chroma) * math.sin(math.radians(turn / 2))
    d_hue /= 1 + 0.015 * chroma * _hue_scale(hue)
    blue = 60 * math.exp(-(((hue - 275) / 25) ** 2))
    turned = -2 * _share(chroma) * math.sin(math.radians(blue))
    squares = d_light**2 + d_chroma**2 + d_hue**2 + turned * d_chroma * d_hue
    return math.sqrt(max(squares, 0.0))


def _share(chroma: float) -> float:
    """From 0 for grey to 1 for a strong colour."""
    return math.sqrt(chroma**7 / (chroma**7 + _GREY_UP_TO))


def _hues(p: Lab, q: Lab) -> tuple[float, float]:
    """How far the hue turns, -180 to 180 degrees, and the hue between; a grey has none."""
    if not p.chroma * q.chroma:
        return 0.0, p.hue + q.hue
    turn, between = q.hue - p.hue, (p.hue + q.hue) / 2
    if abs(turn) > 180:
        turn -= math.copysign(360, turn)
        between += 180 if between < 180 else -180
    return turn, between


def _light_scale(lightness: float) -> float:
    off = (lightness - 50) ** 2
    return 1 + 0.015 * off / math.sqrt(20 + off)


def _hue_scale(hue: float) -> float:
    def wave(times: int, less: float) -> float:
        return math.cos(math.radians(times * hue - less))

    return 1 - 0.17 * wave(1, 30) + 0.24 * wave(2, 0) + 0.32 * wave(3, -6) - 0.20 * wave(4, 63)
