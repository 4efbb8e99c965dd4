"""The numbers of foils: discs that lie on their foils and never touch each other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.paths import number
from academy.craft.head.sheet import VIEWS
from academy.craft.head.svg_foils import foil_strips
from academy.craft.head.svg_lines import FLIPPED, SEEN_FROM, SEEN_OBLIQUELY, STRIP_POINTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.craft.head.plans import Plan
    from academy.craft.head.svg_lines import Strips

DISC_MM = 4.2
DISCS_APART_MM = 2 * DISC_MM + 0.4  # from middle to middle
REPEATS_APART_MM = 2 * DISC_MM + 2.5  # for numbers that stand in another view as well
NUMBER_FROM = 0.5  # outside its best view a foil's number needs to be seen this squarely
NUMBER_DROP_MM = 2.2  # from a disc's middle to the base line of its number
STEPS = (1, 2, 5, 10, 20, 50)  # where not every number has room, every second is drawn, and so on

# Places along a foil at which its number may lie, the middle first: the point before, how far on.
_MIDDLE, _TRIES = STRIP_POINTS // 2, 25
_PLACES = [
    (int(at), at - int(at))
    for at in sorted(
        (0.5 + (STRIP_POINTS - 2) * k / (_TRIES - 1) for k in range(_TRIES)),
        key=lambda at: abs(at - _MIDDLE),
    )
]
_Y, _FACING = STRIP_POINTS, 2 * STRIP_POINTS  # where they begin in a line's row
_REPEAT_PLACES = [_PLACES[k] for k in (0, 3, 4, 7, 8)]


def number_layer(view: str, plan: Plan) -> str:
    """The number discs that a view shows, in laying order."""
    return _layers(plan)[view]


def number_step(plan: Plan) -> int:
    """1 where every foil has its number on the sheet, 2 where every second, and so on.

    The first and the last are drawn as well, the last where a view has a place for it. What would
    have no room in the last of STEPS would be left out too; no allowed setting of the standing
    patterns comes to that, as a test tells.
    """
    return _numbers(plan).step


@dataclass(frozen=True)
class _Numbers:
    step: int
    spots: dict[str, dict[int, tuple[float, float]]]  # view -> place of a foil -> x, y of its disc


@lru_cache(maxsize=128)
def _layers(plan: Plan) -> dict[str, str]:
    disc = f'<circle class="hd-no" r="{DISC_MM}"/><text class="hd-no-t" y="{NUMBER_DROP_MM}">'
    numbers = [foil.number for foil in plan.foils]
    return {
        view: "".join(
            [
                f'<g data-foil="{numbers[i]}" transform="translate('
                f'{number(10 * round(10 * x))} {number(10 * round(10 * y))})">'
                f"{disc}{numbers[i]}</text></g>"
                for i, (x, y) in sorted(spots.items())
            ]
        )
        for view, spots in _numbers(plan).spots.items()
    }


@lru_cache(maxsize=128)
def _numbers(plan: Plan) -> _Numbers:
    """Each number at the middle of its foil, or the nearest place along it that is clear.

    It stands in the view that sees the foil best, without room there in the next best one, and
    elsewhere again only where there is plenty of room.
    """
    if not plan.foils:
        return _Numbers(1, {view: {} for view in VIEWS})
    strips = foil_strips(plan)
    last = len(plan.foils) - 1
    board, step, wanted = _Board(strips), 1, [0]
    # A foil may be so short and so far round that no view has a place for its number.
    alone = board.put(last, strips.best[last], SEEN_FROM) or board.put_elsewhere(last)
    ends = (0, last) if alone else (0,)
    for step in STEPS:
        wanted = [i for i in range(last + 1) if i in ends or (i + 1) % step == 0]
        board.clear()
        left_out = [i for i in wanted if not board.put(i, strips.best[i], SEEN_FROM)]
        left_out = [i for i in left_out if not board.put_elsewhere(i)]
        if not left_out:
            break
    board.repeat(wanted)
    return _Numbers(step, dict(zip(VIEWS, board.spots, strict=True)))


class _Board:
    """The five views, by their places in VIEWS, with the discs put on them so far."""

    def __init__(self, strips: Strips) -> None:
        self.spots: list[dict[int, tuple[float, float]]]
        self.clear()
        self._means: list[list[float]] = strips.means.tolist()
        self._across = [-1.0 if view in FLIPPED else 1.0 for view in VIEWS]
        # Of each line in each view that shows it: x of all points, then y, then facing.
        columns = np.concatenate([strips.xy[..., 0], strips.xy[..., 1], strips.facing], -1)
        pairs = np.argwhere(strips.shown).tolist()
        rows = columns[strips.shown].tolist()
        self._lines: dict[tuple[int, int], list[float]] = {
            (view, i): row for (view, i), row in zip(pairs, rows, strict=True)
        }

    def clear(self) -> None:
        """Take all discs off."""
        self.spots = [{} for _ in VIEWS]

    def put(
        self,
        i: int,
        view: int,
        seen_from: float,
        apart: float = DISCS_APART_MM,
        places: Sequence[tuple[int, float]] = _PLACES,
    ) -> bool:
        """Put the number of foil `i` on a view; False where it has no clear place."""
        taken = self.spots[view]
        line = self._lines[view, i]
        discs, square, across = list(taken.values()), apart * apart, self._across[view]
        for k, part in places:
            rest = 1 - part
            if line[k + _FACING] * rest + line[k + _FACING + 1] * part <= seen_from:
                continue
            x = across * (line[k] * rest + line[k + 1] * part)
            y = line[k + _Y] * rest + line[k + _Y + 1] * part
            for a, b in discs:
                if (x - a) * (x - a) + (y - b) * (y - b) <= square:
                    break
            else:
                taken[i] = x, y
                return True
        return False

    def put_elsewhere(self, i: int) -> bool:
        """Put the number on the best of the other views that show the foil and have room."""
        means = [row[i] for row in self._means]
        views = [view for view in range(len(VIEWS)) if means[view] > SEEN_OBLIQUELY]
        views.sort(key=lambda view: -means[view])
        return any(self.put(i, view, SEEN_OBLIQUELY) for view in views)

    def repeat(self, numbers: Sequence[int]) -> None:
        """Put these numbers once more wherever there is plenty of room."""
        for view, means in enumerate(self._means):
            for i in numbers:
                if means[i] > SEEN_OBLIQUELY and i not in self.spots[view]:
                    self.put(i, view, NUMBER_FROM, REPEATS_APART_MM, _REPEAT_PLACES)
