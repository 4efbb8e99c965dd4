"""Plans and foil counts of patterns: how to ask for them, and what is refused."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.laying import FOIL_POINTS, lay, parting_levels, parting_runs
from academy.craft.head.measuring import Measured, measured_sections
from academy.craft.head.plans import Foil, Parting, Plan, PlannedSection, pattern_zones
from academy.craft.head.sectioning import FoilSettings, pattern_of
from academy.craft.head.shape import TRAINING_HEAD, Head, HeadError
from academy.craft.head.zones import AVERAGE, Hairline, Zone, zones_of

if TYPE_CHECKING:
    from academy.craft.head.drawn import DrawnSection

__all__ = [
    "FOIL_POINTS",
    "Foil",
    "Parting",
    "Plan",
    "PlannedSection",
    "foil_range",
    "pattern_zones",
    "plan",
]

SPACING_ERROR_MM = 1.0
SMALLEST_CM2 = 1.0  # a drawn section with less hair than this is a slip of the pen


def plan(
    pattern: str,
    settings: FoilSettings,
    *,
    zone: Zone | None = None,
    head: Head = TRAINING_HEAD,
    hairline: Hairline = AVERAGE,
    drawn: DrawnSection | None = None,
) -> Plan:
    """Work out a pattern named in PATTERNS; `zone` is for `one_panel`, `drawn` for `custom` only.

    Each section's mean width is divided by the spacing (depth + left) and rounded to whole
    partings; the remainder is shared between its two ends. HeadError for an unknown pattern, a
    zone or drawn section missing or not wanted, or where no parting comes out. Plans are kept, so
    asking again costs nothing.
    """
    return _plan(pattern, settings, zone, head, hairline, drawn)


@lru_cache(maxsize=128)
def _plan(
    pattern: str,
    settings: FoilSettings,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> Plan:
    chosen = pattern_of(pattern, zone, drawn)
    sections: list[PlannedSection] = []
    partings: list[Parting] = []
    foils: list[Foil] = []
    zones = zones_of(head, hairline) if chosen.foils else None
    for measured in _measured(pattern, zone, head, hairline, drawn):
        laid, set_in = lay(
            measured, settings, zones, first_parting=len(partings), first_foil=len(foils) + 1
        )
        partings += laid
        foils += set_in
        sections.append(
            PlannedSection(
                measured.section.name, measured.cm2, measured.outline, len(laid), len(set_in)
            )
        )
    _refuse_unlaid(chosen.words, settings, partings)
    return Plan(
        pattern,
        chosen.words,
        zone,
        settings,
        head,
        hairline,
        drawn,
        tuple(sections),
        tuple(partings),
        tuple(foils),
    )


def _measured(
    pattern: str,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> tuple[Measured, ...]:
    """The measured sections; HeadError for a drawn one that holds next to no hair."""
    measured = measured_sections(pattern, zone, head, hairline, drawn)
    if drawn is not None and sum(section.cm2 for section in measured) < SMALLEST_CM2:
        raise HeadError(
            "This pattern catches no hair. Draw it larger, or move it above the hairline, for "
            "example to azimuth 120 and elevation 40."
        )
    return measured


def _refuse_unlaid(words: str, settings: FoilSettings, partings: list[Parting]) -> None:
    if not partings:
        raise HeadError(
            f"No parting comes out in the pattern “{words}” at {settings.pitch_mm:g} mm from one "
            "to the next. Leave less hair between foils, or take a larger section."
        )
    longest = max(parting.length_mm for parting in partings)
    if settings.gap_mm and settings.stitch_mm > longest:
        raise HeadError(
            f"A stitch of {settings.stitch_mm:g} mm is wider than the longest parting of the "
            f"pattern “{words}”, {longest:.0f} mm. Weave finer, for example 2 mm."
        )


@lru_cache(maxsize=256)
def _foil_range(
    pattern: str,
    settings: FoilSettings,
    zone: Zone | None,
    head: Head,
    hairline: Hairline,
    drawn: DrawnSection | None,
) -> tuple[int, int]:
    if not pattern_of(pattern, zone, drawn).foils:
        return 0, 0
    errors = (SPACING_ERROR_MM, 0.0, -SPACING_ERROR_MM)
    counts = np.zeros(len(errors), int)
    for measured in _measured(pattern, zone, head, hairline, drawn):
        levels = [parting_levels(measured, settings.pitch_mm + error) for error in errors]
        which = np.repeat(np.arange(len(errors)), [len(some) for some in levels])
        runs = parting_runs(measured, np.concatenate(levels))
        foils = [settings.foils(length) for length in runs.length_mm.tolist()]
        counts += np.bincount(which[runs.row], foils, len(errors)).astype(int)
    return int(counts.min()), int(counts.max())


def foil_range(
    pattern: str,
    settings: FoilSettings,
    *,
    zone: Zone | None = None,
    head: Head = TRAINING_HEAD,
    hairline: Hairline = AVERAGE,
    drawn: DrawnSection | None = None,
) -> tuple[int, int]:
    """The fewest and the most foils to expect when the spacing is 1 mm wider or narrower."""
    return _foil_range(pattern, settings, zone, head, hairline, drawn)
