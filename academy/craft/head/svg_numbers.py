"""The numbers of foils: discs that lie on their foils and never touch each other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.foils import FOIL_POINTS
from academy.craft.head.sheet import VIEWS, view_of
from academy.craft.head.svg_foils import SEEN_FROM, SEEN_OBLIQUELY, foil_strips

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.craft.head.foils import Plan
    from academy.craft.head.shape import Floats
    from academy.craft.head.svg_foils import Strips

DISC_MM = 4.2
DISCS_APART_MM = 2 * DISC_MM + 0.4  # from middle to middle
REPEATS_APART_MM = 2 * DISC_MM + 2.5  # for numbers that stand in another view as well
NUMBER_FROM = 0.5  # outside its best view a foil's number needs to be seen this squarely
NUMBER_DROP_MM = 2.2  # from a disc's middle to the base line of its number
STEPS = (1, 2, 5, 10, 20, 50)  # where not every number has room, every second is drawn, and so on

_TRIES = 25  # places along a foil at which its number may lie


def number_layer(view: str, plan: Plan) -> str:
    """The number discs that a view shows, in laying order."""
    return _layer(view, plan)


def number_step(plan: Plan) -> int:
    """1 where every foil has its number on the sheet, 2 where every second, and so on.

    The first and the last are drawn as well. What would have no room in the last of STEPS would be
    left out too; no allowed setting of the standing patterns comes to that, as a test tells.
    """
    return _numbers(plan).step


@dataclass(frozen=True)
class _Numbers:
    step: int
    spots: dict[str, dict[int, tuple[float, float]]]  # view -> place of a foil -> x, y of its disc


@lru_cache(maxsize=640)
def _layer(view: str, plan: Plan) -> str:
    if not plan.foils:
        return ""
    return "".join(
        f'<g data-foil="{plan.foils[i].number}" transform="translate({x:.1f} {y:.1f})">'
        f'<circle class="hd-no" r="{DISC_MM}"/>'
        f'<text class="hd-no-t" y="{NUMBER_DROP_MM}">{plan.foils[i].number}</text></g>'
        for i, (x, y) in sorted(_numbers(plan).spots[view].items())
    )


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
    for step in STEPS:
        wanted = [i for i in range(last + 1) if i in (0, last) or (i + 1) % step == 0]
        board.clear()
        left_out = [i for i in wanted if not board.put(i, strips.best[i], SEEN_FROM)]
        left_out = [i for i in left_out if not board.put_elsewhere(i)]
        if not left_out:
            break
    for view in VIEWS:
        mean = strips.facing[view].mean(1).tolist()
        for i in wanted:
            if strips.best[i] != view and mean[i] > SEEN_OBLIQUELY:
                board.put(i, view, NUMBER_FROM, REPEATS_APART_MM)
    return _Numbers(step, board.spots)


class _Board:
    """The five views with the discs put on them so far."""

    def __init__(self, strips: Strips) -> None:
        self.spots: dict[str, dict[int, tuple[float, float]]]
        self.clear()
        self._strips = strips
        at = np.linspace(1, FOIL_POINTS - 2, _TRIES)
        at = at[np.argsort(np.abs(at - FOIL_POINTS // 2), kind="stable")]  # the middle first
        self._places = {view: self._along(view, at) for view in VIEWS}

    def clear(self) -> None:
        """Take all discs off."""
        self.spots = {view: {} for view in VIEWS}

    def _along(self, view: str, at: Floats) -> list[list[tuple[float, float, float]]]:
        """x, y and facing at the places to try, for each foil."""
        paper = view_of(view).paper(self._strips.points) * np.array([1.0, -1.0])
        seen = np.concatenate([paper, self._strips.facing[view][..., None]], -1)
        low = np.minimum(at.astype(int), FOIL_POINTS - 2)
        part = (at - low)[:, None]
        places: list[list[tuple[float, float, float]]] = (
            seen[:, low] * (1 - part) + seen[:, low + 1] * part
        ).tolist()
        return places

    def put(self, i: int, view: str, seen_from: float, apart: float = DISCS_APART_MM) -> bool:
        """Put the number of foil `i` on a view; False where it has no clear place."""
        taken = self.spots[view]
        if i in taken:
            return True
        spot = _clear(self._places[view][i], seen_from, apart, taken.values())
        if spot is not None:
            taken[i] = spot
        return spot is not None

    def put_elsewhere(self, i: int) -> bool:
        """Put the number on the best of the other views that show the foil and have room."""
        means = {view: float(self._strips.facing[view][i].mean()) for view in VIEWS}
        views = sorted((v for v in VIEWS if means[v] > SEEN_OBLIQUELY), key=lambda v: -means[v])
        return any(self.put(i, view, SEEN_OBLIQUELY) for view in views)


def _clear(
    places: Sequence[tuple[float, float, float]],
    seen_from: float,
    apart: float,
    taken: Iterable[tuple[float, float]],
) -> tuple[float, float] | None:
    """The first place that is seen and clear of what is taken."""
    discs = list(taken)
    for x, y, facing in places:
        if facing > seen_from and all(hypot(x - a, y - b) > apart for a, b in discs):
            return x, y
    return None
