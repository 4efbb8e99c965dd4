"""By eye: how many of a hundred strands of a drawn tress are white.

Decisions where the trade page leaves room:

- The truth is the count: so many of the strands drawn are white. White and natural strands take
  the same widths in turn and are laid in an order of chance, so that area and count agree.
- Level first draws 40 or 50 strands with room between them, level working 80 or 100 that touch,
  level exam 160 to 250 that cover each other, and one half of the tress is clearly whiter.
- The natural depth is 2 to 7 as in covering white hair; lighter hair hides white.
- ``counted-dark`` and ``whiter-half`` are named only where they cannot be a reading that was
  merely a little off.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import chain, cycle, islice
from typing import TYPE_CHECKING

from academy.craft.colour.swatches import swatch
from academy.craft.colour.white import WHITE_STRAND
from academy.craft.exercise.apart import apart
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.strands import (
    EDGE,
    PICTURES,
    WIDTH,
    bends_of,
    drawing,
    edged,
    path,
    shuffled,
    strand,
)
from academy.craft.measure import Kind, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

STRANDS = {Level.FIRST: (40, 50), Level.WORKING: (80, 100), Level.EXAM: (160, 200, 250)}
DEPTHS = {Level.FIRST: (2, 5), Level.WORKING: (2, 6), Level.EXAM: (3, 7)}
LOW_SHARE, HIGH_SHARE = 10, 90
LEAST_LEAD, MOST_LEAD = 15, 35
"""How many points whiter than the whole tress its whiter half is at level exam."""

_HEIGHT, _BAND, _MARGIN = 1000, 40, 150
_WIDTHS = {Level.FIRST: (9, 12, 16), Level.WORKING: (9, 13, 17), Level.EXAM: (9, 13, 18, 22)}
_SWING = {Level.FIRST: 14, Level.WORKING: 34, Level.EXAM: 46}
_SPREAD = {
    Level.FIRST: "with room between the strands",
    Level.WORKING: "the strands close together",
    Level.EXAM: "dense, the white unevenly spread",
}
_TINTS = (-3.0, 0.0, 3.0)


@dataclass(frozen=True, slots=True)
class Tress:
    """Strands drawn, how many are white, and how many of those hang in the whiter half.

    ``allowed`` is the tolerance of the house in points; ``picture`` the number that the drawing
    is thrown from.
    """

    level: str
    picture: int
    depth: int
    strands: int
    white: int
    white_in_half: int
    allowed: Decimal

    @property
    def share(self) -> Decimal:
        """White strands in per cent."""
        return Decimal(100 * self.white) / self.strands

    @property
    def half_share(self) -> Decimal:
        """White strands of the whiter half in per cent."""
        return Decimal(200 * self.white_in_half) / self.strands


class EyeWhiteShare:
    """Exercise family ``eye-white-share``."""

    key = "eye-white-share"
    version = 1
    title = "White hair by eye"
    trains = "Estimating the share of white hair at a glance"
    parameters = Tress

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Tress]:
        """One of the tresses whose share is a whole per cent."""
        strands, white, in_half = dice.pick(dice.pick(_TRESSES[level]))
        depth, picture = dice.whole(*DEPTHS[level]), dice.whole(1, PICTURES)
        allowed = rules.tolerance("eye_share").plain
        return Drawn(Tress(str(level), picture, depth, strands, white, in_half, allowed))

    def under(self, drawn: Tress, rules: Rules) -> Drawn[Tress]:
        """The same tress; only the tolerance comes anew."""
        return Drawn(replace(drawn, allowed=rules.tolerance("eye_share").plain))

    def identity(self, drawn: Tress) -> str:
        """Strands, white ones among them, and the picture."""
        return f"{drawn.white}/{drawn.strands}/{drawn.depth}/{drawn.picture}"

    def key_of(self, drawn: Tress) -> dict[str, Value]:
        """The share of white strands in per cent."""
        return {"share": drawn.share}

    def fields(self, drawn: Tress, tolerances: Tolerances) -> tuple[Field, ...]:
        """One line."""
        del drawn
        return (Field("share", "White hair", Kind.SHARE, tolerance=tolerances.eye_share),)

    def mistakes(self, drawn: Tress) -> Iterator[Mistake]:
        """The dark share, and the whiter half taken for the whole."""
        slips = [
            Mistake(
                "counted-dark",
                "share",
                100 - drawn.share,
                "You gave the share that is not white. White and natural make 100 together.",
            )
        ]
        if drawn.level == Level.EXAM:
            whiter = Mistake(
                "whiter-half",
                "share",
                drawn.half_share,
                "You judged the whiter half. Part the hair and look at the whole tress.",
            )
            slips.insert(0, whiter)
        return apart(drawn.share, drawn.allowed, slips)

    def text(self, drawn: Tress) -> str:
        """One tress in the hand."""
        uneven = " The white is not spread evenly." if drawn.level == Level.EXAM else ""
        return (
            f"You hold a tress of depth {drawn.depth} with white hair in it.{uneven} "
            "How many of a hundred strands are white? Judge it by eye, do not count."
        )

    def givens(self, drawn: Tress) -> tuple[Given, ...]:
        """What the eye need not find out."""
        return (
            Given("Natural depth", str(drawn.depth), short="Depth"),
            Given("Picture", str(drawn.picture)),
        )

    def lines(self, drawn: Tress, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """The count behind the picture."""
        del own
        counted = [
            Line(
                "White strands of all strands",
                f"{drawn.white} ÷ {drawn.strands} × 100",
                shown_as(Kind.SHARE, drawn.share),
                "share",
            )
        ]
        if drawn.level == Level.EXAM:
            words = f"{drawn.white_in_half} ÷ {drawn.strands // 2} × 100"
            half = shown_as(Kind.SHARE, drawn.half_share)
            counted.insert(0, Line("In the whiter half alone", words, half))
        return tuple(counted)

    def follow(self, drawn: Tress, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """One line follows from no other."""
        del drawn, field, own
        return ()

    def picture(self, drawn: Tress) -> Picture:
        """The tress, hanging from its band."""
        level = Level(drawn.level)
        dice = Dice(f"{self.key}/{drawn.picture}")
        white = iter(_widths(dice, level, drawn.white))
        natural = iter(_widths(dice, level, drawn.strands - drawn.white))
        slot = (WIDTH - 2 * _MARGIN) / drawn.strands
        common = bends_of(dice, 30)
        strands = []
        for place, is_white in enumerate(_placed(dice, drawn)):
            own = bends_of(dice, _SWING[level])
            width = next(white if is_white else natural)
            tint = dice.pick(_TINTS)
            colour = WHITE_STRAND if is_white else swatch(drawn.depth)
            left = round(_MARGIN + slot * (place + 0.5) - width / 2)
            bends = [a + b for a, b in zip(common, own, strict=True)]
            data = strand(left, _BAND, width, _HEIGHT - _BAND - dice.whole(20, 120), bends)
            strands.append(path(colour.lighter(tint), data))
        words = (
            f"A tress of depth {drawn.depth}, {_SPREAD[level]}. "
            f"{shown(drawn.strands)} strands, some of them white."
        )
        band = f'<path d="M40 0h{WIDTH - 80}v{_BAND}h{80 - WIDTH}z" fill="{EDGE}"/>'
        return Picture(drawing(_HEIGHT, words, edged(shuffled(dice, strands)), band), words)


def _widths(dice: Dice, level: Level, count: int) -> list[int]:
    """Each width as often as another, in an order of chance."""
    return shuffled(dice, islice(cycle(_WIDTHS[level]), count))


def _placed(dice: Dice, drawn: Tress) -> Iterable[bool]:
    """White or not, from left to right."""
    if drawn.level != Level.EXAM:
        return shuffled(dice, _whites(drawn.white, drawn.strands))
    half = drawn.strands // 2
    whiter = shuffled(dice, _whites(drawn.white_in_half, half))
    other = shuffled(dice, _whites(drawn.white - drawn.white_in_half, half))
    return chain(whiter, other) if dice.chance(2) else chain(other, whiter)


def _whites(white: int, strands: int) -> list[bool]:
    return [True] * white + [False] * (strands - white)


_Tress = tuple[int, int, int]


def _tresses_of(strands: int) -> list[tuple[int, int]]:
    """Strands and white ones, where the share is a whole per cent."""
    return [
        (strands, share * strands // 100)
        for share in range(LOW_SHARE, HIGH_SHARE + 1)
        if share * strands % 100 == 0
    ]


def _uneven(strands: int, white: int) -> Iterator[_Tress]:
    """The ways to hang them unevenly that leave the share of the half a short figure."""
    half = strands // 2
    for in_half in range(white // 2, min(white, half) + 1):
        lead = 100 * in_half / half - 100 * white / strands
        if LEAST_LEAD <= lead <= MOST_LEAD:
            yield strands, white, in_half


_TRESSES: Mapping[Level, tuple[tuple[_Tress, ...], ...]] = {
    level: tuple(
        ways
        for strands in sizes
        for pair in _tresses_of(strands)
        if (ways := tuple(_uneven(*pair)) if level is Level.EXAM else ((*pair, 0),))
    )
    for level, sizes in STRANDS.items()
}
"""By level and share, so that each share comes up as often as another."""
