"""What is sketched around the modelled head: face, ears, neck. Only for build_outlines.

Points are (u, v) on paper in mm, u right and v up, on the sheet's head. The sketch carries no
measurement; it is there so that people see at once which way a head looks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from academy.craft.head.paths import joined, smooth
from academy.craft.head.sheet import SHEET_HEAD, SHEET_ZONES

if TYPE_CHECKING:
    from collections.abc import Sequence

Point: TypeAlias = tuple[float, float]
Line: TypeAlias = list[Point]

SKIN, LINE, FINE, PART = "hd-skin", "hd-line", "hd-fine", "hd-skin hd-line"

_A = SHEET_HEAD.half_breadth
_B = SHEET_HEAD.half_length
_EAR_Y, _EAR_Z = SHEET_HEAD.tragion_y, SHEET_HEAD.tragion_z
_NECK_END = -165.0


@dataclass(frozen=True)
class Shape:
    """A class name and path data."""

    css: str
    path: str


@dataclass(frozen=True)
class Anatomy:
    """The sketch of one view: below the hair, above it, and the ears, which also cover foils."""

    under: tuple[Shape, ...]
    over: tuple[Shape, ...] = ()
    ears: tuple[Shape, ...] = ()
    bodies: tuple[Line, ...] = ()  # rough closed outlines of all skin, where fault rings avoid it


def _path(line: Sequence[Point], *, closed: bool = False) -> str:
    return smooth([(u, -v) for u, v in line], closed=closed)


def _side(sign: float) -> Anatomy:
    """The face looks to the left for sign -1. Points below are (forward, up)."""
    hair_y, hair_z = SHEET_ZONES.hairline.curve(SHEET_HEAD, 0.0)[1:].tolist()

    def line(*points: Point) -> Line:
        return [(sign * y, z) for y, z in points]

    profile = line(
        (hair_y, hair_z), (_B * 0.935, 36), (_B * 0.985, 14), (_B * 0.99, 3), (_B * 0.955, -14),
        (_B * 0.948, -21), (_B * 0.985, -34), (_B * 1.085, -52), (_B * 1.13, -60), (_B * 1.12, -66),
        (_B * 1.035, -70), (_B * 1.01, -74), (_B * 1.03, -81), (_B * 1.045, -85), (_B * 1.01, -89),
        (_B * 1.035, -93), (_B * 1.02, -99), (_B * 0.965, -104), (_B * 0.975, -113),
        (_B * 0.985, -121), (_B * 0.93, -131), (_B * 0.80, -134),
    )  # fmt: skip
    jaw = line((_B * 0.80, -134), (_B * 0.5, -124), (_B * 0.22, -108), (_B * 0.07, -92), (0, -66))
    throat = line(
        (_B * 0.47, -122.5), (_B * 0.37, -134), (_B * 0.325, -148), (_B * 0.315, _NECK_END)
    )
    neck = line(
        (-_B * 0.86, -40), (-_B * 0.745, -66), (-_B * 0.655, -88), (-_B * 0.62, -112),
        (-_B * 0.63, -140), (-_B * 0.67, _NECK_END),
    )  # fmt: skip
    chin = line((_B * 0.62, -129), (_B * 0.47, -122.5))
    inner = line((-_B * 0.3, 20), (_B * 0.6, 40))
    y, z = _EAR_Y - 11, _EAR_Z - 1
    ear = line(
        (y + 9, z + 12), (y + 6, z + 23), (y - 6, z + 29), (y - 19, z + 22), (y - 22, z + 7),
        (y - 15, z - 9), (y - 6, z - 22), (y + 4, z - 29), (y + 10, z - 24), (y + 10, z - 10),
    )  # fmt: skip
    fold = line((y + 5, z + 14), (y - 4, z + 21), (y - 14, z + 15), (y - 15, z + 4), (y - 8, z - 8))
    tragus = line((y + 9, z + 4), (y + 4, z), (y + 8, z - 6))
    fine = (
        jaw,
        line((_B * 0.70, -27), (_B * 0.77, -23), (_B * 0.84, -25), (_B * 0.87, -29)),  # eye
        line((_B * 0.70, -12), (_B * 0.80, -7), (_B * 0.92, -10)),  # brow
        line((_B * 0.90, -86), (_B * 0.95, -88.5), (_B * 1.0, -89)),  # mouth
        line((_B * 0.965, -58), (_B * 0.945, -65), (_B * 0.98, -70), (_B * 1.02, -70)),  # nostril
    )
    body = profile + chin + throat[1:]
    skin = joined(_path(body), _path(neck[::-1]), *(f"M{u:.1f} {-v:.1f}" for u, v in inner))
    return Anatomy(
        under=(Shape(SKIN, skin), Shape(LINE, _path(neck))),
        over=(
            Shape(LINE, _path(profile)),
            Shape(LINE, _path(throat)),
            *(Shape(FINE, _path(stroke)) for stroke in fine),
        ),
        ears=(
            Shape(PART, _path(ear, closed=True)),
            Shape(FINE, _path(fold)),
            Shape(FINE, _path(tragus)),
        ),
        bodies=(body + neck[::-1],),
    )


def _front() -> Anatomy:
    half: Line = [
        (_A * 0.985, 8), (_A * 0.975, -14), (_A * 0.925, -34), (_A * 0.885, -56), (_A * 0.80, -84),
        (_A * 0.66, -106), (_A * 0.43, -125), (_A * 0.2, -133), (0.0, -134.5),
    ]  # fmt: skip
    other: Line = [(-u, v) for u, v in half[-2::-1]]
    cheeks: Line = [(_A * 0.98, -3.0), *half[1:], *other[:-1], (-_A * 0.98, -3.0)]
    under: list[Shape] = []
    fine: list[Line] = []
    bodies: list[Line] = []
    necks: list[Line] = []
    for q in (1.0, -1.0):
        neck: Line = [
            (q * _A * 0.67, -104), (q * _A * 0.645, -122), (q * _A * 0.65, -144),
            (q * _A * 0.69, _NECK_END),
        ]  # fmt: skip
        ear: Line = [
            (q * _A * 0.90, _EAR_Z + 18), (q * (_A + 4), _EAR_Z + 27), (q * (_A + 15), _EAR_Z + 25),
            (q * (_A + 16), _EAR_Z + 8), (q * (_A + 9), _EAR_Z - 14), (q * _A * 0.98, _EAR_Z - 28),
            (q * _A * 0.87, _EAR_Z - 26),
        ]  # fmt: skip
        necks.append(neck)
        bodies.append(ear)
        under += [Shape(LINE, _path(neck)), Shape(PART, _path(ear, closed=True))]
        fine += [
            [
                (q * (_A + 2), _EAR_Z + 19), (q * (_A + 10), _EAR_Z + 17),
                (q * (_A + 9), _EAR_Z + 2), (q * (_A + 3), _EAR_Z - 10),
            ],
            [
                (q * _A * 0.20, -27), (q * _A * 0.33, -22.5), (q * _A * 0.47, -24),
                (q * _A * 0.58, -29),
            ],
            [(q * _A * 0.23, -28), (q * _A * 0.38, -32), (q * _A * 0.55, -29.5)],
            [(q * _A * 0.15, -12), (q * _A * 0.36, -6), (q * _A * 0.62, -12)],
            [(q * _A * 0.09, -66), (q * _A * 0.20, -68), (q * _A * 0.22, -62)],
        ]  # fmt: skip
    fine += [
        [(-_A * 0.33, -88), (-_A * 0.1, -85.5), (0, -87), (_A * 0.1, -85.5), (_A * 0.33, -88)],
        [(-_A * 0.16, -97), (0, -99), (_A * 0.16, -97)],
    ]
    neck_skin = Shape(SKIN, joined(_path(necks[0]), _path(necks[1][::-1])))
    brow = (f"M{-_A * 0.9:.1f} -40", f"M{_A * 0.9:.1f} -40")  # hidden under the hair
    face = Shape(SKIN, joined(_path(half + other), *brow))
    return Anatomy(
        under=(neck_skin, *under, face),
        over=(Shape(LINE, _path(cheeks)), *(Shape(FINE, _path(stroke)) for stroke in fine)),
        bodies=(*bodies, half + other, necks[0] + necks[1][::-1]),
    )


def _back() -> Anatomy:
    shapes: list[Shape] = []
    bodies: list[Line] = []
    necks: list[Line] = []
    for q in (1.0, -1.0):
        neck: Line = [
            (q * _A * 0.84, -56), (q * _A * 0.73, -84), (q * _A * 0.665, -112),
            (q * _A * 0.66, -138), (q * _A * 0.70, _NECK_END),
        ]  # fmt: skip
        ear: Line = [
            (q * _A * 0.93, _EAR_Z + 16), (q * (_A + 5), _EAR_Z + 26), (q * (_A + 15), _EAR_Z + 24),
            (q * (_A + 16), _EAR_Z + 8), (q * (_A + 9), _EAR_Z - 14), (q * _A * 0.99, _EAR_Z - 28),
            (q * _A * 0.86, _EAR_Z - 26),
        ]  # fmt: skip
        necks.append(neck)
        bodies.append(ear)
        shapes += [Shape(PART, _path(ear, closed=True)), Shape(LINE, _path(neck))]
    skin = Shape(SKIN, joined(_path(necks[0]), _path(necks[1][::-1])))
    return Anatomy(under=(skin, *shapes), bodies=(*bodies, necks[0] + necks[1][::-1]))


def _top() -> Anatomy:
    shapes: list[Shape] = []
    bodies: list[Line] = []
    for q in (1.0, -1.0):
        ear: Line = [
            (q * _A * 0.93, _EAR_Y + 6), (q * (_A + 9), _EAR_Y - 4), (q * (_A + 16), _EAR_Y - 20),
            (q * (_A + 11), _EAR_Y - 27), (q * _A * 0.96, _EAR_Y - 17),
        ]  # fmt: skip
        bodies.append(ear)
        shapes.append(Shape(PART, _path(ear, closed=True)))
    nose: Line = [
        (-10, _B * 0.97),
        (-8, _B * 1.06),
        (0, _B * 1.11),
        (8, _B * 1.06),
        (10, _B * 0.97),
    ]
    shapes.append(Shape(PART, _path(nose)))
    return Anatomy(under=tuple(shapes), bodies=(*bodies, nose))


ANATOMY = {
    "left": _side(-1.0),
    "front": _front(),
    "right": _side(1.0),
    "top": _top(),
    "back": _back(),
}
