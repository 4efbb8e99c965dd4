"""Partings and foils of a plan as SVG. What the views show of a plan is kept."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.laying import FOIL_POINTS
from academy.craft.head.lines import lengths
from academy.craft.head.sheet import VIEWS
from academy.craft.head.svg_lines import STRIP_POINTS, Strips, curves

if TYPE_CHECKING:
    from academy.craft.head.plans import Plan
    from academy.craft.head.shape import Floats

CLOSE_MM = 7.0  # partings nearer than this have narrow foils, or foils would hide each other


def foil_layer(view: str, plan: Plan) -> str:
    """The foils that a view shows, later ones over earlier ones, each in a group of its own."""
    return _bars(plan)[view]


def parting_layer(view: str, plan: Plan) -> str:
    """The partings that a view shows, in one path."""
    return _lines(plan)[view]


def numbers_seen(view: str, plan: Plan) -> tuple[int, ...]:
    """The numbers of the foils that a view shows, rising."""
    if not plan.foils:
        return ()
    return tuple(plan.foils[i].number for i in foil_strips(plan).drawn(view))


@lru_cache(maxsize=128)
def foil_strips(plan: Plan) -> Strips:
    """The foils of a plan on the sheet's head."""
    points = np.array([foil.points for foil in plan.foils])
    return Strips.of(points[:, :: (FOIL_POINTS - 1) // (STRIP_POINTS - 1)], plan.head)


@lru_cache(maxsize=128)
def _bars(plan: Plan) -> dict[str, str]:
    if not plan.foils:
        return dict.fromkeys(VIEWS, "")
    close = plan.settings.pitch_mm < CLOSE_MM
    numbers = [foil.number for foil in plan.foils]
    layers = {}
    for view, paths in curves(foil_strips(plan)).items():
        bars = "".join(
            [
                f'<g data-foil="{numbers[i]}"><path class="hd-foil-edge" d="{path}"/>'
                f'<path class="hd-foil" d="{path}"/></g>'
                for i, path in paths.items()
            ]
        )
        layers[view] = f'<g class="hd-close">{bars}</g>' if close and bars else bars
    return layers


@lru_cache(maxsize=128)
def _lines(plan: Plan) -> dict[str, str]:
    runs = [run for parting in plan.partings for run in parting.runs]
    if not runs:
        return dict.fromkeys(VIEWS, "")
    drawn = curves(Strips.of(_evenly(runs), plan.head))
    return {
        view: f'<path class="hd-fine hd-parting" d="{"".join(paths.values())}"/>' if paths else ""
        for view, paths in drawn.items()
    }


def _evenly(runs: list[Floats]) -> Floats:
    """STRIP_POINTS points at equal distances along each of the lines, (n, STRIP_POINTS, 3)."""
    points = np.concatenate(runs)
    along = np.concatenate([np.zeros(1), np.cumsum(lengths(np.diff(points, axis=0)))])
    last = np.cumsum([len(run) for run in runs]) - 1
    first = np.concatenate([np.zeros(1, int), last[:-1] + 1])
    at = along[first][:, None] + (along[last] - along[first])[:, None] * np.linspace(
        0, 1, STRIP_POINTS
    )
    return np.stack([np.interp(at, along, points[:, axis]) for axis in range(3)], -1)
