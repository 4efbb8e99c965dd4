"""Partings laid through a measured section, and foils along the partings."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.plans import Foil, Parting
from academy.craft.head.runs import Runs, runs_of
from academy.craft.head.zones import ZONES

if TYPE_CHECKING:
    from academy.craft.head.measuring import Measured
    from academy.craft.head.settings import FoilSettings
    from academy.craft.head.shape import Floats
    from academy.craft.head.zones import Zones

SHORTEST_PARTING_MM = 8.0  # nothing shorter is parted off
FOIL_MARGIN_MM = 3.0  # bare end of a parting on either side of a foil, for drawing
FOIL_POINTS = 13


def parting_levels(measured: Measured, pitch_mm: float) -> Floats:
    """Levels (n,) of partings one pitch apart in laying order, the remainder at both ends.

    Sections that are parted through share one remainder; each takes what falls into it.
    """
    widths, place = measured.widths_mm, measured.place
    count = sum(round(width / pitch_mm) for width in widths)
    at = sum(widths) / 2 + (np.arange(count) - (count - 1) / 2) * pitch_mm
    at = at - sum(widths[:place])
    levels = np.interp(at[(at >= 0) & (at < widths[place])], measured.rise_mm, measured.levels)
    return np.asarray(levels[::-1] if measured.section.from_high else levels)


def parting_runs(measured: Measured, levels: Floats) -> Runs:
    """The runs of the lines at these levels that are long enough to be parted off."""
    lines = measured.section.field.lines(levels)
    runs = runs_of(lines, measured.section.border(lines))
    return runs.taken(runs.length_mm > SHORTEST_PARTING_MM)


def lay(
    measured: Measured,
    settings: FoilSettings,
    zones: Zones | None,
    *,
    first_parting: int,
    first_foil: int,
) -> tuple[list[Parting], list[Foil]]:
    """The partings of a section, and its foils where `zones` are given, numbered from `first_foil`.

    Foils side by side on a parting are numbered along its line; their stitches add up to the
    parting's.
    """
    levels = parting_levels(measured, settings.pitch_mm)
    if not len(levels):
        return [], []
    runs = parting_runs(measured, levels)
    of_parting: dict[int, list[int]] = {}
    for run, row in enumerate(runs.row.tolist()):
        of_parting.setdefault(row, []).append(run)
    name = measured.section.name
    partings = [
        Parting(name, float(levels[row]), tuple(runs.polyline(run) for run in its))
        for row, its in of_parting.items()
    ]
    if zones is None:
        return partings, []
    foils = _Foils(name, settings)
    for index, its in enumerate(of_parting.values(), first_parting):
        foils.along(runs, its, index)
    return partings, foils.on_head(runs, zones, first_foil)


class _Foils:
    """Foils gathered parting by parting, then set on the head all at once."""

    def __init__(self, section: str, settings: FoilSettings) -> None:
        self._section, self._settings = section, settings
        self._rows: list[int] = []
        self._low: list[float] = []
        self._high: list[float] = []
        self._of: list[tuple[int, int]] = []  # parting and stitches

    def along(self, runs: Runs, its: list[int], parting: int) -> None:
        """Foils on the runs of one parting."""
        before = 0.0
        for run in its:
            start, total = float(runs.start[run]), float(runs.length_mm[run])
            bounds = np.linspace(0, total, self._settings.foils(total) + 1).tolist()
            for low, high in pairwise(bounds):
                self._rows.append(int(runs.row[run]))
                self._low.append(start + low)
                self._high.append(start + high)
                self._of.append((parting, self._stitches(before + low, before + high)))
            before += total

    def _stitches(self, low_mm: float, high_mm: float) -> int:
        """Stitches between two places along a parting."""
        if self._settings.gap_mm == 0:
            return 1
        return self._settings.stitches(high_mm) - self._settings.stitches(low_mm)

    def on_head(self, runs: Runs, zones: Zones, first: int) -> list[Foil]:
        if not self._rows:
            return []
        low, high = np.array(self._low), np.array(self._high)
        margin = np.minimum(FOIL_MARGIN_MM, (high - low) / 5)
        share = np.linspace(0, 1, FOIL_POINTS)
        at = (low + margin)[:, None] + (high - low - 2 * margin)[:, None] * share
        points = runs.points_at(np.array(self._rows)[:, None], at)
        codes = zones.nearest_codes(points[:, FOIL_POINTS // 2]).tolist()
        return [
            Foil(number, self._section, parting, line, length, stitches, ZONES[code])
            for number, (parting, stitches), line, length, code in zip(
                range(first, first + len(points)),
                self._of,
                points,
                (high - low).tolist(),
                codes,
                strict=True,
            )
        ]
