"""CIELAB, XYZ, linear light and sRGB: the conversions between them.

White point D65 and the 2 degree observer throughout; the matrices are those of IEC 61966-2-1 to
seven places. Light and display values run from 0 to 1, CIELAB's L from 0 (black) to 100 (white).
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple, TypeAlias

Triple: TypeAlias = tuple[float, float, float]

WHITE_POINT: Triple = (0.95047, 1.0, 1.08883)
_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_FROM_XYZ = (
    (3.2404542, -1.5371385, -0.4985314),
    (-0.9692660, 1.8760108, 0.0415560),
    (0.0556434, -0.2040259, 1.0572252),
)
_CUBE_FROM = 216 / 24389  # CIE 15: below it the cube root gives way to a straight line
_SLOPE = 24389 / 27
_HEX = re.compile(r"#[0-9a-f]{6}", re.IGNORECASE)


class Lab(NamedTuple):
    """A colour as it is seen: lightness, green to red, blue to yellow."""

    L: float
    a: float
    b: float

    @classmethod
    def of_hue(cls, lightness: float, chroma: float, hue: float) -> Lab:
        """The colour with this hue in degrees, from red at 0 by yellow at 90."""
        angle = math.radians(hue)
        return cls(lightness, chroma * math.cos(angle), chroma * math.sin(angle))

    @property
    def chroma(self) -> float:
        """How far from grey."""
        return math.hypot(self.a, self.b)

    @property
    def hue(self) -> float:
        """Degrees from red by yellow, 0 up to 360; 0 for a grey."""
        return math.degrees(math.atan2(self.b, self.a)) % 360

    def lighter(self, by: float) -> Lab:
        """The same hue and chroma, so much lighter; darker where `by` is below zero."""
        return Lab(self.L + by, self.a, self.b)


def linear_from_srgb(srgb: Triple) -> Triple:
    """Light from display values."""
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in srgb)
    return r, g, b


def srgb_from_linear(linear: Triple) -> Triple:
    """Display values from light; what no display shows is cut at 0 and 1."""
    shown = (min(max(c, 0.0), 1.0) for c in linear)
    r, g, b = (12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in shown)
    return r, g, b


def xyz_from_lab(lab: Lab) -> Triple:
    """XYZ with Y = 1 for white."""

    def of(f: float) -> float:
        return f**3 if f**3 > _CUBE_FROM else (116 * f - 16) / _SLOPE

    y = (lab.L + 16) / 116
    x, y, z = (
        of(f) * white
        for f, white in zip((y + lab.a / 500, y, y - lab.b / 200), WHITE_POINT, strict=True)
    )
    return x, y, z


def lab_from_xyz(xyz: Triple) -> Lab:
    """The reverse of `xyz_from_lab`."""

    def f(t: float) -> float:
        return math.cbrt(t) if t > _CUBE_FROM else (_SLOPE * t + 16) / 116

    x, y, z = (f(value / white) for value, white in zip(xyz, WHITE_POINT, strict=True))
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def lab_from_hex(text: str) -> Lab:
    """The colour of "#rrggbb"; `ValueError` for any other text."""
    if not _HEX.fullmatch(text):
        raise ValueError(f"A colour is written #rrggbb, for example #69563f, not {text[:20]!r}.")
    r, g, b = (int(text[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return lab_from_xyz(_times(_TO_XYZ, linear_from_srgb((r, g, b))))


def hex_from_lab(lab: Lab) -> str:
    """The nearest display colour as "#rrggbb"."""
    shown = srgb_from_linear(_times(_FROM_XYZ, xyz_from_lab(lab)))
    return "#" + "".join(f"{round(255 * c):02x}" for c in shown)


def _times(matrix: tuple[Triple, Triple, Triple], v: Triple) -> Triple:
    x, y, z = (row[0] * v[0] + row[1] * v[1] + row[2] * v[2] for row in matrix)
    return x, y, z
