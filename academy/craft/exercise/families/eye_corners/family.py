"""The family ``eye-corners``: which corners are asked, where they lie, which slips are known."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from itertools import chain, combinations
from typing import TYPE_CHECKING

from academy.craft.exercise.apart import apart
from academy.craft.exercise.families.eye_corners.sheet import corners_sheet
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.spots import spot_at
from academy.craft.head.corners import CORNERS, Corner, corners
from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.sheet import SHEET_ZONES
from academy.craft.measure import Kind, Spot, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

QUARTERS = "quarters"
SECOND = ("horseshoe", "diamond", "t_section")
HOW_MANY = {Level.FIRST: 2, Level.WORKING: 3, Level.EXAM: 2}

_DEED = {
    "quarters": "part the head into quarters",
    "horseshoe": "section off a horseshoe",
    "diamond": "section off a diamond on top",
    "t_section": "section off a T-section",
}
_COUNT = {2: "two", 3: "three", 4: "four"}
_ENDS = (
    ("front", "nape"),
    ("diamond_front", "diamond_back"),
    ("strip_front_left", "strip_back_left"),
    ("strip_front_right", "strip_back_right"),
)
_OTHER_END = dict([*_ENDS, *((back, front) for front, back in _ENDS)])
_TOO_LARGE = {
    "diamond_front": ("on-the-hairline", "quarters", "front"),
    "diamond_left": ("at-the-ridge", "horseshoe", "ridge_left"),
    "diamond_right": ("at-the-ridge", "horseshoe", "ridge_right"),
}
_SENTENCES = {
    "other-side": "That is the other side. Left and right are the wearer’s, in every view.",
    "other-end": "That is the corner at the other end. Look which way the head faces.",
    "on-the-hairline": (
        "You began on the hairline. This diamond begins behind it and leaves a veil of hair."
    ),
    "at-the-ridge": "You went out to the ridge. This diamond ends above it, by its measure.",
}


@dataclass(frozen=True, slots=True)
class Placing:
    """Which corners of which patterns are asked, their keys parted by spaces.

    ``second`` is the second pattern at level exam, else empty; ``allowed`` the tolerance of the
    house in mm.
    """

    level: str
    pattern: str
    second: str
    asked: str
    allowed: Decimal

    @property
    def corners(self) -> tuple[Corner, ...]:
        """The corners that are asked, in the order of their patterns."""
        wanted = self.asked.split()
        return tuple(corner for corner in _all_of(self) if corner.key in wanted)


class EyeCorners:
    """Exercise family ``eye-corners``."""

    key = "eye-corners"
    version = 1
    title = "Corners by eye"
    trains = "Finding the corners of a pattern on the head"
    parameters = Placing

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Placing]:
        """One or two patterns and some of their corners."""
        exam = level is Level.EXAM
        pattern = QUARTERS if exam else dice.pick(tuple(CORNERS))
        second = dice.pick(SECOND) if exam else ""
        groups = [dice.pick(_GROUPS[key, HOW_MANY[level]]) for key in (pattern, second) if key]
        asked = " ".join(chain.from_iterable(groups))
        allowed = rules.tolerance("eye_spot").plain
        return Drawn(Placing(str(level), pattern, second, asked, allowed))

    def under(self, drawn: Placing, rules: Rules) -> Drawn[Placing]:
        """The same corners; only the tolerance comes anew."""
        return Drawn(replace(drawn, allowed=rules.tolerance("eye_spot").plain))

    def identity(self, drawn: Placing) -> str:
        """Patterns and corners."""
        return "/".join(filter(None, (drawn.pattern, drawn.second, drawn.asked)))

    def key_of(self, drawn: Placing) -> dict[str, Value]:
        """The spot of each corner that is asked."""
        return {corner.key: _spot(corner) for corner in drawn.corners}

    def fields(self, drawn: Placing, tolerances: Tolerances) -> tuple[Field, ...]:
        """One line for each corner."""
        return tuple(
            Field(
                corner.key,
                _label(drawn, corner),
                Kind.SPOT,
                tolerance=tolerances.eye_spot,
                needs=(_label(drawn, corner),),
            )
            for corner in drawn.corners
        )

    def mistakes(self, drawn: Placing) -> Iterator[Mistake]:
        """Sides or ends exchanged, and a diamond made too large."""
        known = {corner.key: corner for corner in _all_of(drawn)}
        for corner in drawn.corners:
            yield from apart(_spot(corner), drawn.allowed, _slips(corner, known))

    def text(self, drawn: Placing) -> str:
        """One or two patterns to mark out."""
        deeds = " and then ".join(_DEED[key] for key in (drawn.pattern, drawn.second) if key)
        asked = _COUNT[len(drawn.corners)]
        borders = "The zones are drawn, and the table tells" if drawn.level == Level.FIRST else ""
        helped = f" {borders} where each corner lies." if borders else ""
        return (
            f"You {deeds}. Place these {asked} corners on the head sheet, as exactly as you would "
            f"with the tail comb.{helped} Left and right are the wearer’s."
        )

    def givens(self, drawn: Placing) -> tuple[Given, ...]:
        """Where the corners lie: all in level first, later those that only a tape finds."""
        return tuple(
            Given(_label(drawn, corner), _told(corner))
            for corner in drawn.corners
            if corner.by_measure or drawn.level == Level.FIRST
        )

    def lines(self, drawn: Placing, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """How each corner is found."""
        del own
        return tuple(
            Line(
                _label(drawn, corner),
                _told(corner),
                shown_as(Kind.SPOT, _spot(corner)),
                corner.key,
            )
            for corner in drawn.corners
        )

    def follow(self, drawn: Placing, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """No corner follows from another."""
        del drawn, field, own
        return ()

    def picture(self, drawn: Placing) -> Picture:
        """The bare head in the views that see the corners well."""
        return corners_sheet(drawn.corners, zones=drawn.level == Level.FIRST)

    def solved(self, drawn: Placing) -> Picture:
        """The same views with the corners in their places."""
        named = {_label(drawn, corner): corner for corner in drawn.corners}
        return corners_sheet(drawn.corners, zones=True, named=named)


def _all_of(drawn: Placing) -> tuple[Corner, ...]:
    found = (corners(key, SHEET_ZONES).values() for key in (drawn.pattern, drawn.second) if key)
    return tuple(chain.from_iterable(found))


@cache
def _spot(corner: Corner) -> Spot:
    return spot_at(corner.azimuth_deg, corner.elevation_deg)


def _slips(corner: Corner, known: Mapping[str, Corner]) -> Iterator[Mistake]:
    if corner.key in _TOO_LARGE:
        name, pattern, key = _TOO_LARGE[corner.key]
        yield _slip(name, corner, corners(pattern, SHEET_ZONES)[key])
    if mirrored := known.get(_mirrored(corner.key)):
        yield _slip("other-side", corner, mirrored)
    if other := known.get(_OTHER_END.get(corner.key, "")):
        yield _slip("other-end", corner, other)


def _slip(name: str, corner: Corner, taken: Corner) -> Mistake:
    return Mistake(name, corner.key, _spot(taken), _SENTENCES[name])


def _mirrored(key: str) -> str:
    """The key of the same corner on the other side; empty for one on the centre line."""
    name, _, side = key.rpartition("_")
    other = {"left": "right", "right": "left"}.get(side)
    return f"{name}_{other}" if other else ""


def _label(drawn: Placing, corner: Corner) -> str:
    if not drawn.second:
        return corner.name
    own = corners(drawn.pattern, SHEET_ZONES)
    words = PATTERNS[drawn.pattern if corner.key in own else drawn.second].words
    return f"{words[0].upper()}{words[1:]}: {corner.name[0].lower()}{corner.name[1:]}"


def _told(corner: Corner) -> str:
    """The lines it lies on, and its measure where only that tells."""
    if not corner.by_measure:
        return corner.found
    return f"{corner.found}, {shown(Decimal(round(corner.along_mm)))} mm {corner.tape_from}"


_GROUPS = {
    (pattern, many): tuple(combinations((cut.key for cut in cuts), many))
    for pattern, cuts in CORNERS.items()
    for many in set(HOW_MANY.values())
}
