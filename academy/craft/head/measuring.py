"""Sections measured along their lines: what does not depend on how foils are set, kept per head."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.drawn_laying import drawn_outlines
from academy.craft.head.lines import lengths
from academy.craft.head.runs import Runs, runs_of
from academy.craft.head.sectioning import Section, pattern_of
from academy.craft.head.zones import Hairline, Zone, zones_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from academy.craft.head.drawn import DrawnSection
    from academy.craft.head.shape import Floats, Head

_LEVELS = 72
_TIP_MM = 12.0  # a section that narrows to this is drawn as coming to a point
_RISEN_MM = 1.0  # a level from which a section has clearly begun
_HALVINGS = 7  # of one in _LEVELS of the field


@dataclass(frozen=True, eq=False)
class Measured:
    """A section and what does not depend on how foils are set."""

    section: Section
    levels: Floats  # rising levels of the field
    rise_mm: Floats  # mean distance from the low end of the section to each level
    cm2: float
    outline: Floats
    widths_mm: tuple[float, ...]  # of all sections it is parted through with, by rising level
    place: int = 0  # of this section among them


@lru_cache(maxsize=64)
def measured_sections(
    pattern: str, zone: Zone | None, head: Head, hairline: Hairline, drawn: DrawnSection | None
) -> tuple[Measured, ...]:
    """The sections of a pattern on one head with one hairline, in laying order."""
    chosen = pattern_of(pattern, zone, drawn)
    measured = []
    for section in chosen.sections(zones_of(head, hairline), zone, drawn):
        # The border of a single zone or a drawn section may run along the lines: a whole step of
        # the level would be gained or lost there, so the steps are laid between its own ends.
        if drawn is not None:
            measured.append(_measure_drawn(section, drawn, head))
            continue
        low, high = _occupied(section) if chosen.needs_zone else section.field.limits()
        measured.append(_measure(section, low, high))
    return tuple(_placed(found, measured) for found in measured)


def _placed(found: Measured, measured: list[Measured]) -> Measured:
    """A section with the widths of those that it is parted through with."""
    if not found.section.through:
        return found
    family = [other for other in measured if other.section.through == found.section.through]
    family.sort(key=lambda other: float(other.levels[other.rise_mm.searchsorted(_RISEN_MM)]))
    widths = tuple(float(other.rise_mm[-1]) for other in family)
    return replace(found, widths_mm=widths, place=family.index(found))


def _measure(section: Section, low: float, high: float) -> Measured:
    """Measure a section along its field between two levels.

    Distances are means over the part of each line that lies in the section, so the partings'
    total length times their spacing comes to the section's area.
    """
    turn = np.linspace(-np.pi / 2, np.pi / 2, _LEVELS + 1)
    levels = (low + high) / 2 + (high - low) / 2 * np.sin(turn)  # close together at both ends
    lines = section.field.lines((levels[1:] + levels[:-1]) / 2)
    keep = section.border(lines)
    step = lengths(np.diff(lines, axis=1))
    inside = _share_inside(keep[:, :-1], keep[:, 1:]) * step
    needed = np.zeros(keep.shape, bool)  # both ends of every piece that lies inside
    needed[:, :-1] = inside > 0
    needed[:, 1:] |= inside > 0
    spread = np.zeros(keep.shape)
    spread[needed] = section.field.spread(lines[needed])
    length = inside.sum(1)
    strip_mm2 = (inside * (spread[:, 1:] + spread[:, :-1]) / 2).sum(1) * np.diff(levels)
    gain = np.divide(strip_mm2, length, out=np.zeros_like(strip_mm2), where=length > 1.0)
    rise = np.concatenate([np.zeros(1), np.cumsum(gain)])
    return Measured(
        section,
        levels,
        rise,
        float(strip_mm2.sum()) / 100,
        _outline(lines, keep),
        (float(rise[-1]),),
    )


def _measure_drawn(section: Section, drawn: DrawnSection, head: Head) -> Measured:
    """Measure a drawn section between the levels that its outlines reach."""
    outlines = drawn_outlines(drawn, head, section.border)
    low, high = limits = section.field.limits()
    if outlines:
        # A level is lowest or highest on the outline, or at an end of the field that lies inside.
        reached = section.field.level(np.concatenate(outlines))
        holds_low, holds_high = _held(section, np.array(limits))
        low = low if holds_low else max(low, float(reached.min()))
        high = high if holds_high else min(high, float(reached.max()))
    measured = _measure(section, low, high)
    return replace(measured, outline=outlines[0]) if outlines else measured


def _held(section: Section, levels: Floats) -> NDArray[np.bool_]:
    """Which lines (levels,) of the field pass through the section."""
    return np.asarray((section.border(section.field.lines(levels)) > 0).any(1))


def _occupied(section: Section) -> tuple[float, float]:
    """Levels of the field between which the section lies, found by halving at both ends."""
    levels = np.linspace(*section.field.limits(), _LEVELS + 1)
    inside = np.flatnonzero(_held(section, levels))
    if not len(inside):
        return float(levels[0]), float(levels[-1])
    full = levels[inside[[0, -1]]]
    empty = levels[[max(inside[0] - 1, 0), min(inside[-1] + 1, _LEVELS)]]
    for _ in range(_HALVINGS):
        middle = (full + empty) / 2
        there = _held(section, middle)
        full, empty = np.where(there, middle, full), np.where(there, empty, middle)
    return float(empty[0]), float(empty[1])


def _outline(lines: Floats, keep: Floats) -> Floats:
    """The border of a section from its part of every line: up one set of ends, down the other."""
    runs = runs_of(lines, keep)
    if not len(runs.row):
        return np.zeros((0, 3))
    opens = np.flatnonzero(np.diff(runs.row, prepend=-1))  # the first run of every line
    closes = np.append(opens[1:], len(runs.row)) - 1
    up, down = runs.ends[closes], runs.starts[opens[::-1]]
    low, high = _cap(runs, opens[0], closes[0]), _cap(runs, opens[-1], closes[-1])
    return np.concatenate([low, up, high[::-1], down])


def _cap(runs: Runs, first: int, last: int) -> Floats:
    """The first or last line of a section, straight where the section comes to a point."""
    longest = first + int(runs.length_mm[first : last + 1].argmax())
    if runs.length_mm[longest] > _TIP_MM:
        return runs.polyline(longest)
    return np.stack([runs.starts[longest], runs.ends[longest]])


def _share_inside(a: Floats, b: Floats) -> Floats:
    """Share of each piece of line on which a value running from a to b is positive."""
    total = np.maximum(np.abs(a - b), 1e-12)
    mixed = np.minimum(np.maximum(np.maximum(a, b), 0) / total, 1.0)
    return np.where((a >= 0) & (b >= 0), 1.0, np.where((a < 0) & (b < 0), 0.0, mixed))
