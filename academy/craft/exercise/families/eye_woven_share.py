"""By eye: how much of a drawn section was woven out.

Decisions where the trade page leaves room:

- The hair on the comb is drawn above the parting, the hair left out below it. The truth is the
  width of the stitches in the width of the section; the pieces are cut in whole tenths of a
  millimetre from exact sums, so that it is a whole per cent.
- Level first draws 5 to 8 even stitches, level working 8 to 12 that differ by up to a third, level
  exam 13 to 18 fine ones that differ by up to two thirds.
- ``half-and-half`` is the share of the pieces: a stitch for each gap, whatever their widths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import chain, zip_longest
from typing import TYPE_CHECKING

from academy.craft.colour.swatches import swatch
from academy.craft.exercise.apart import apart
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.strands import (
    EDGE,
    PICTURES,
    WIDTH,
    drawing,
    edged,
    label,
    path,
    shares_of,
)
from academy.craft.measure import Kind, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

LENGTHS = (45, 50, 60, 70, 75)
"""Of the parting in mm; in the drawing each tenth of a millimetre is a whole number of units."""

STITCHES = {Level.FIRST: (5, 8), Level.WORKING: (8, 12), Level.EXAM: (13, 18)}
UNEVEN = {Level.FIRST: 8, Level.WORKING: 33, Level.EXAM: 66}
"""How far a piece may lie from the mean, in per cent."""

LOW_SHARE, HIGH_SHARE = 20, 80
DEPTHS = (4, 8)

_MOST_WIDTH = 1500
_HEIGHT, _PARTING, _UP, _DOWN = 900, 440, 330, 330
_WORDS = {Level.FIRST: "even", Level.WORKING: "a little uneven", Level.EXAM: "fine and uneven"}


@dataclass(frozen=True, slots=True)
class Weave:
    """A parting of so many mm, the stitches taken from it and the tenths of a mm they hold.

    The gaps are one fewer, as many or one more; the section begins with whatever there is more
    of, else with a stitch.
    """

    level: str
    picture: int
    depth: int
    length_mm: int
    stitches: int
    gaps: int
    taken_tenths: int
    allowed: Decimal

    @property
    def share(self) -> Decimal:
        """Per cent of the section that was taken."""
        return Decimal(10 * self.taken_tenths) / self.length_mm

    @property
    def half(self) -> Decimal:
        """Per cent of the pieces that were taken."""
        return Decimal(100 * self.stitches) / (self.stitches + self.gaps)


class EyeWovenShare:
    """Exercise family ``eye-woven-share``."""

    key = "eye-woven-share"
    version = 1
    title = "Woven share by eye"
    trains = "Seeing how much hair a weave takes"
    parameters = Weave

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Weave] | None:
        """A share, then the pieces that hold it; None where they do not come out in tenths."""
        length, share = dice.pick(LENGTHS), dice.whole(LOW_SHARE, HIGH_SHARE)
        if length * share % 10:
            return None
        stitches = dice.whole(*STITCHES[level])
        gaps = stitches if level is Level.FIRST else stitches + dice.whole(-1, 1)
        depth, picture = dice.whole(*DEPTHS), dice.whole(1, PICTURES)
        return Drawn(
            Weave(
                str(level),
                picture,
                depth,
                length,
                stitches,
                gaps,
                length * share // 10,
                rules.tolerance("eye_share").plain,
            )
        )

    def under(self, drawn: Weave, rules: Rules) -> Drawn[Weave]:
        """The same section; only the tolerance comes anew."""
        return Drawn(replace(drawn, allowed=rules.tolerance("eye_share").plain))

    def identity(self, drawn: Weave) -> str:
        """The share, the stitches, and the picture."""
        return f"{drawn.share}/{drawn.stitches}/{drawn.picture}"

    def key_of(self, drawn: Weave) -> dict[str, Value]:
        """The woven share in per cent."""
        return {"share": drawn.share}

    def fields(self, drawn: Weave, tolerances: Tolerances) -> tuple[Field, ...]:
        """One line."""
        del drawn
        return (Field("share", "Woven share", Kind.SHARE, tolerance=tolerances.eye_share),)

    def mistakes(self, drawn: Weave) -> Iterator[Mistake]:
        """The share left out, and stitches counted instead of measured."""
        left = "You gave the share that is left out. The woven share is what lies on the comb."
        half = "You counted stitches against gaps. A wide gap weighs more than a narrow stitch."
        slips = (
            Mistake("left-out", "share", 100 - drawn.share, left),
            Mistake("half-and-half", "share", drawn.half, half),
        )
        return apart(drawn.share, drawn.allowed, slips)

    def text(self, drawn: Weave) -> str:
        """One section on the comb."""
        return (
            f"You wove this section of {drawn.length_mm} mm: the stitches on the comb stand above "
            "the parting, the hair left out hangs below it. How much of the section is woven, in "
            "per cent? Judge it by eye."
        )

    def givens(self, drawn: Weave) -> tuple[Given, ...]:
        """The section and its picture."""
        return (
            Given("Parting", str(drawn.length_mm), "mm"),
            Given("Picture", str(drawn.picture)),
        )

    def lines(self, drawn: Weave, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """The widths behind the picture."""
        del own
        taken = Decimal(drawn.taken_tenths) / 10
        return (
            Line(
                "Stitches together",
                f"{drawn.stitches} stitches",
                shown_as(Kind.MILLIMETRES, taken),
            ),
            Line(
                "Share of the section",
                f"{shown(taken)} mm ÷ {drawn.length_mm} mm × 100",
                shown_as(Kind.SHARE, drawn.share),
                "share",
            ),
        )

    def follow(self, drawn: Weave, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """One line follows from no other."""
        del drawn, field, own
        return ()

    def picture(self, drawn: Weave) -> Picture:
        """The section from above: stitches up over the comb, gaps down."""
        dice = Dice(f"{self.key}/{drawn.picture}")
        unit = _MOST_WIDTH // (10 * drawn.length_mm)
        section = 10 * drawn.length_mm * unit
        start = left = (WIDTH - section) // 2
        hair = []
        for width, taken in _pieces(dice, drawn):
            wide = unit * width
            tint = 3.0 * dice.whole(-1, 1)
            data = _lock(dice, left, wide, up=taken)
            hair.append(path(swatch(drawn.depth).lighter(tint), data))
            left += wide
        comb = (
            f'<path d="M20 {_PARTING - 22}h1560v14l-40 8h-1520z" fill="{EDGE}"/>'
            f'<path d="M{start} {_PARTING}h{section}" stroke="{EDGE}" stroke-width="3"/>'
        )
        words = (
            f"A section of {drawn.length_mm} mm on a tail comb, the stitches "
            f"{_WORDS[Level(drawn.level)]}: taken above the parting, left out below."
        )
        notes = label(40, 76, "taken", "start") + label(40, _HEIGHT - 36, "left out", "start")
        return Picture(drawing(_HEIGHT, words, edged(hair), comb, notes), words)


def _pieces(dice: Dice, drawn: Weave) -> Iterator[tuple[int, bool]]:
    """Widths in tenths of a mm from left to right, and whether each was taken."""
    uneven = UNEVEN[Level(drawn.level)]
    taken = shares_of(dice, drawn.taken_tenths, drawn.stitches, uneven)
    left_tenths = 10 * drawn.length_mm - drawn.taken_tenths
    left = shares_of(dice, left_tenths, drawn.gaps, uneven)
    stitches, gaps = [(width, True) for width in taken], [(width, False) for width in left]
    first, second = (gaps, stitches) if len(gaps) > len(stitches) else (stitches, gaps)
    for piece in chain.from_iterable(zip_longest(first, second)):
        if piece is not None:
            yield piece


def _lock(dice: Dice, left: int, width: int, *, up: bool) -> str:
    """A lock as wide as its root all the way, its tip pointed a little to one side."""
    reach = _UP if up else _DOWN
    lean = dice.whole(-12, 12)
    body, tip = reach - dice.whole(40, 90), dice.whole(20, 40)
    sign = -1 if up else 1
    half = width // 2
    return (
        f"M{left} {_PARTING}h{width}v{sign * body}"
        f"q{-half // 4} {sign * tip} {lean - half} {sign * (tip + 30)}"
        f"q{half - width - lean} {-sign * 10} {half - width - lean} {-sign * (tip + 30)}z"
    )
