"""A panel, thrown, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.family import Dice, Drawn
from academy.craft.exercise.question import Level
from academy.craft.formula.foils import (
    foil_count,
    panel_share,
    powder_for,
    woven_share,
)
from academy.craft.measure import round_half_up

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Rules

DEPTHS = (Decimal(3), Decimal(6), Decimal(9), Decimal(12))
LEFTS = (Decimal(3), Decimal(6), Decimal(8), Decimal(9), Decimal(12))
SHORTEST_RUN, LONGEST_RUN = 60, 330
FASTEST, SLOWEST = 2, 4
WEAVES = ("fine", "medium", "chunky")
SLICE = "slice"
HAIR = ("short", "medium", "long")
NOTHING = Decimal(0)
_PARTS = ("stitch", "gap")


@dataclass(frozen=True, slots=True)
class Panel:
    """Lengths in mm, ``a_foil`` grams of powder, ``pace`` minutes; a slice has a gap of 0.

    ``d`` is that of the lightener's 1:d. ``share`` is the wanted panel share in per cent at level
    exam. What a level does not ask for is 0.
    """

    level: str
    weave: str
    run: Decimal
    depth: Decimal
    left: Decimal
    stitch: Decimal
    gap: Decimal
    hair: str = ""
    pace: Decimal = NOTHING
    a_foil: Decimal = NOTHING
    d: Decimal = NOTHING
    share: Decimal = NOTHING

    @property
    def pitch(self) -> Decimal:
        """From one foil to the next."""
        return self.depth + self.left

    @property
    def foils(self) -> Decimal:
        """Whole foils on the run."""
        return foil_count(self.run, self.depth, self.left)

    @property
    def woven(self) -> Decimal:
        """Per cent of a subsection that is picked out."""
        return woven_share(self.stitch, self.gap)

    @property
    def powder(self) -> Decimal:
        """Grams of powder for all foils."""
        return powder_for(self.foils, self.a_foil)


def throw_panel(dice: Dice, level: Level, rules: Rules) -> Drawn[Panel]:
    """Spacing and run first, then a weave; level first keeps to runs that divide."""
    runs = _ROUND_RUNS if level is Level.FIRST else _RUNS
    depth, left, run = dice.pick(dice.pick(runs))
    weave = dice.pick(WEAVES if level is Level.FIRST else (*WEAVES, SLICE))
    panel = Panel(str(level), weave, run, depth, left, NOTHING, NOTHING)
    if level is Level.WORKING:
        pace = Decimal(dice.whole(FASTEST, SLOWEST))
        panel = replace(panel, hair=dice.pick(HAIR), pace=pace)
    return settled(panel, rules)


def throw_turned(dice: Dice, rules: Rules) -> Drawn[Panel]:
    """A weave, then a spacing whose share of the panel works out."""
    weave = dice.pick(WEAVES)
    stitch, gap = (rules.number("weave", **{"class": weave, "what": part}) for part in _PARTS)
    depth, left, share = dice.pick(_shares_of(woven_share(stitch, gap)))
    run = dice.pick(_RUNS_OF[depth, left])
    panel = Panel(str(Level.EXAM), weave, run, depth, left, stitch, gap, share=share)
    return settled(panel, rules)


def settled(panel: Panel, rules: Rules) -> Drawn[Panel]:
    """The panel with the rule values that hold for it."""
    decided: list[Decided] = []
    values: dict[str, Any] = {"stitch": panel.depth, "gap": NOTHING}

    def taken(name: str, found: Decided) -> None:
        decided.append(found)
        values[name] = found.number

    if panel.weave != SLICE:
        for part in _PARTS:
            taken(part, rules.decide("weave", **{"class": panel.weave, "what": part}))
    if panel.level == Level.WORKING:
        taken("a_foil", rules.decide("powder_per_foil", hair=panel.hair))
        taken("d", rules.decide("mixing_ratio", kind="lightener_foils"))
    return Drawn(replace(panel, **values), tuple(decided))


_Run = tuple[Decimal, Decimal, Decimal]
_SPACINGS = tuple((depth, left) for depth in DEPTHS for left in LEFTS)


def _runs_of(depth: Decimal, left: Decimal, *, rest: bool) -> tuple[_Run, ...]:
    """Runs with less than a foil, or nothing, left at the end, on which no two slips meet."""
    found = []
    for run in map(Decimal, range(SHORTEST_RUN, LONGEST_RUN + 1)):
        over = run % (depth + left)
        counts = [run // (depth + left), run // (depth + left) + 1, run // depth]
        if left != depth:
            counts.append(run // left)
        if (0 < over < depth if rest else not over) and len(set(counts)) == len(counts):
            found.append((depth, left, run))
    return tuple(found)


_ROUND_RUNS = tuple(filter(None, (_runs_of(*spacing, rest=False) for spacing in _SPACINGS)))
_RUNS = tuple(filter(None, (_runs_of(*spacing, rest=True) for spacing in _SPACINGS)))
_RUNS_OF = {runs[0][:2]: tuple(run for _, _, run in runs) for runs in _RUNS}


@lru_cache(maxsize=64)
def _shares_of(woven: Decimal) -> tuple[_Run, ...]:
    """Depth, what is left between, and the panel share that this weave comes to."""
    shares = [(*spacing, panel_share(*spacing, woven)) for spacing in _RUNS_OF]
    exact = [found for found in shares if found[2] * 10 == int(found[2] * 10)]
    return tuple((depth, left, round_half_up(share, 1)) for depth, left, share in exact or shares)
