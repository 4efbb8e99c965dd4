"""By eye: the depth of a drawn tress, held against the academy's ten swatches.

Decisions where the trade page leaves room:

- The strands vary around the swatch in pairs, one as much lighter as the other is darker, over a
  ground of the swatch itself: the mean of the strands is the depth exactly.
- At level first the tress touches the swatches, at level working it hangs apart and varies more.
  At level exam a fifth to two fifths of the strands are white, among natural ones of depth 1 to
  6, and the swatches may run from light to dark: the depth is read on the hair between the white.
- ``other-numbering`` counts from the light end, as some charts do; ``white-lifts`` is the swatch
  nearest to the look of the whole tress, white and natural mixed as light.
- Neighbours are named as ``one-lighter`` and ``one-darker``; what a slip shares with a neighbour
  is called after the neighbour.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.colour.swatches import DEPTHS, nearest_depth, swatch
from academy.craft.colour.white import WHITE_HAIR, blended
from academy.craft.exercise.apart import apart
from academy.craft.exercise.family import Dice, Drawn, Follow, Picture, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.exercise.strands import (
    EDGE,
    GROUND,
    PICTURES,
    WIDTH,
    bends_of,
    drawing,
    label,
    path,
    shuffled,
    strand,
)
from academy.craft.exercise.swatch_distances import swatch_distances
from academy.craft.measure import Kind, Value

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.colour.spaces import Lab
    from academy.craft.rules import Rules

WHITE_SHARES = (20, 25, 30, 35, 40)
DEEPEST_WITH_WHITE = 6
VARIATION = {Level.FIRST: 1.0, Level.WORKING: 2.5, Level.EXAM: 2.0}
"""How far a strand may lie from its swatch, in L."""

_STRANDS, _STRAND_WIDTH = 80, 36  # every white share leaves an even number of natural strands
_TRESS, _GAP, _SWATCH, _FOOT = 640, 130, 300, 100
_LEFT, _EACH = 40, 152


@dataclass(frozen=True, slots=True)
class Reading:
    """The depth, white strands in per cent, which way the swatches run, the house's tolerance."""

    level: str
    picture: int
    depth: int
    white: int
    light_first: bool
    allowed: Decimal

    @property
    def look(self) -> Decimal:
        """The swatch nearest to the whole tress."""
        return Decimal(nearest_depth(blended(swatch(self.depth), self.white / 100).L))


class EyeDepth:
    """Exercise family ``eye-depth``."""

    key = "eye-depth"
    version = 1
    title = "Depth by eye"
    trains = "Reading the depth of hair against the swatches"
    parameters = Reading

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Reading]:
        """Any depth; with white hair in it one that white can lift."""
        exam = level is Level.EXAM
        depth = dice.whole(1, DEEPEST_WITH_WHITE if exam else 10)
        white = dice.pick(WHITE_SHARES) if exam else 0
        picture, light_first = dice.whole(1, PICTURES), exam and dice.chance(2)
        allowed = rules.tolerance("eye_depth").plain
        return Drawn(Reading(str(level), picture, depth, white, light_first, allowed))

    def under(self, drawn: Reading, rules: Rules) -> Drawn[Reading]:
        """The same tress; only the tolerance comes anew."""
        return Drawn(replace(drawn, allowed=rules.tolerance("eye_depth").plain))

    def identity(self, drawn: Reading) -> str:
        """The depth, the white in it, and the picture."""
        return f"{drawn.depth}/{drawn.white}/{drawn.picture}"

    def key_of(self, drawn: Reading) -> dict[str, Value]:
        """The depth."""
        return {"depth": Decimal(drawn.depth)}

    def fields(self, drawn: Reading, tolerances: Tolerances) -> tuple[Field, ...]:
        """One line."""
        del drawn
        return (Field("depth", "Depth", Kind.DEPTH, tolerance=tolerances.eye_depth),)

    def mistakes(self, drawn: Reading) -> Iterator[Mistake]:
        """The neighbours, the look of the whole, and counting from the other end."""
        right = Decimal(drawn.depth)
        named = [
            (
                "one-lighter",
                right + 1,
                "One swatch too light. Squint: the edge vanishes at the right one.",
            ),
            (
                "one-darker",
                right - 1,
                "One swatch too dark. A shaded side looks deeper: turn the tress to the light.",
            ),
            (
                "other-numbering",
                11 - right,
                "You counted from the light end. Here depth 1 is black and depth 10 the lightest.",
            ),
        ]
        if drawn.white:
            whole = "You read the whole tress. White lifts the look: read the hair between it."
            named.insert(2, ("white-lifts", drawn.look, whole))
        slips = (
            Mistake(name, "depth", value, sentence)
            for name, value, sentence in named
            if value in DEPTHS
        )
        return apart(right, drawn.allowed, slips)

    def text(self, drawn: Reading) -> str:
        """One tress beside the swatches."""
        if drawn.white:
            return (
                "You hold this tress beside the academy’s swatches. White hair hangs in it. "
                "Which depth is the natural hair?"
            )
        return "You hold this tress beside the academy’s swatches. Which depth is it?"

    def givens(self, drawn: Reading) -> tuple[Given, ...]:
        """Which picture it is."""
        return (Given("Picture", str(drawn.picture)),)

    def lines(self, drawn: Reading, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Which swatch it was drawn from."""
        del own
        lines = [
            Line("The natural strands vary around", "the swatch", str(drawn.depth), "depth"),
        ]
        if drawn.white:
            mixed = f"{drawn.white} of 100 strands white"
            lines.append(Line("The whole tress looks like depth", mixed, str(drawn.look)))
        return tuple(lines)

    def follow(self, drawn: Reading, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """One line follows from no other."""
        del drawn, field, own
        return ()

    def picture(self, drawn: Reading) -> Picture:
        """The tress above, the swatches with their numbers below."""
        dice = Dice(f"{self.key}/{drawn.picture}")
        gap = 0 if drawn.level == Level.FIRST else _GAP
        width = len(DEPTHS) * _EACH
        ground = path(swatch(drawn.depth), f"M{_LEFT} 0h{width}v{_TRESS}h{-width}z")
        words = (
            "A tress above the ten swatches of the academy, numbered "
            f"{'10 to 1' if drawn.light_first else '1 to 10'} from left to right."
        )
        return Picture(
            drawing(
                _TRESS + gap + _SWATCH + _FOOT,
                words,
                ground,
                *_tress(dice, drawn),
                *_swatches(_TRESS + gap, light_first=drawn.light_first),
            ),
            words,
        )

    def solved(self, drawn: Reading) -> Picture:
        """How far each swatch lies from the natural hair, and from the whole with its white."""
        natural = swatch(drawn.depth)
        looks = [("Natural hair", natural)]
        if drawn.white:
            looks.append(("With its white", blended(natural, drawn.white / 100)))
        return swatch_distances(looks, drawn.depth, light_first=drawn.light_first)


def _tress(dice: Dice, drawn: Reading) -> list[str]:
    """Strands side by side; what hangs over the ground's edge is covered again."""
    colours = shuffled(dice, _colours(dice, drawn))
    step = (len(DEPTHS) * _EACH - _STRAND_WIDTH) / (_STRANDS - 1)
    strands = [
        path(
            colour,
            strand(
                round(_LEFT + step * place), 0, _STRAND_WIDTH, _TRESS, _still(bends_of(dice, 26))
            ),
        )
        for place, colour in enumerate(colours)
    ]
    beside = f'<path d="M0 0h{_LEFT}v{_TRESS}H0zM{WIDTH} 0v{_TRESS}h-{_LEFT}V0z" fill="{GROUND}"/>'
    return [*shuffled(dice, strands), beside]


def _still(bends: tuple[int, int, int, int, int]) -> tuple[int, int, int, int, int]:
    """The same wave, but with its tip below its root."""
    first, second, middle, third, _ = bends
    return first, second, middle, third, -middle


def _colours(dice: Dice, drawn: Reading) -> Iterator[Lab]:
    """White ones, and natural ones in pairs around the swatch."""
    natural = swatch(drawn.depth)
    white = _STRANDS * drawn.white // 100
    yield from [WHITE_HAIR] * white
    for _ in range((_STRANDS - white) // 2):
        off = VARIATION[Level(drawn.level)] * dice.whole(0, 10) / 10
        yield natural.lighter(off)
        yield natural.lighter(-off)


def _swatches(top: int, *, light_first: bool) -> Iterator[str]:
    for place, depth in enumerate(reversed(DEPTHS) if light_first else DEPTHS):
        left = _LEFT + place * _EACH
        yield path(swatch(depth), f"M{left} {top}h{_EACH}v{_SWATCH}h{-_EACH}z")
        yield label(left + _EACH // 2, top + _SWATCH + 74, str(depth))
    yield f'<path d="M{_LEFT} {top}h{len(DEPTHS) * _EACH}" stroke="{EDGE}" stroke-width="2"/>'
