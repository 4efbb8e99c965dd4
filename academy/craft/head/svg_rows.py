"""The facts of a drawing as rows: what the tables beside a head sheet say of zones and foils."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.foils import FOIL_POINTS
from academy.craft.head.sheet import SHEET_ZONES, Place
from academy.craft.head.svg_words import state_words
from academy.craft.head.zones import ZONES, Zone, zones_of

if TYPE_CHECKING:
    from academy.craft.head.foils import Foil, Plan
    from academy.craft.head.svg import Drawing


@dataclass(frozen=True)
class ZoneRow:
    """One zone and what a drawing shows on it."""

    zone: Zone
    share: float  # of all hair, 0..1, on the plan's head, without a plan on the sheet's
    state: str  # in words, "" for none
    value: str
    lost: float | None  # share of marks lost, 0..1
    foils: tuple[int, ...]  # numbers of the foils whose middle lies in it
    marks: tuple[int, ...]  # numbers of the faults that lie in it


@dataclass(frozen=True)
class FoilRow:
    """One foil; `beside` are the foils that lie next to it on the head, in their section."""

    number: int
    section: str
    zone: Zone
    length_mm: float
    stitches: int
    beside: tuple[int, ...]


def zone_rows(drawing: Drawing) -> list[ZoneRow]:
    """The zones a drawing says something of, in the order of ZONES; all where it says nothing."""
    plan = drawing.plan
    shares = (zones_of(plan.head, plan.hairline) if plan else SHEET_ZONES).shares
    foils: dict[Zone, list[int]] = {zone: [] for zone in ZONES}
    for foil in plan.foils if plan else ():
        foils[foil.zone].append(foil.number)
    marks: dict[Zone, list[int]] = {zone: [] for zone in ZONES}
    for fault in drawing.faults:
        if zone := Place.at(fault.azimuth_deg, fault.elevation_deg).zone:
            marks[zone].append(fault.number)
    rows = [
        ZoneRow(
            zone,
            shares[zone],
            state_words(zone, drawing),
            drawing.values.get(zone, ""),
            drawing.heat.get(zone),
            tuple(foils[zone]),
            tuple(marks[zone]),
        )
        for zone in ZONES
    ]
    worked = plan.zones if plan else ()
    told = [
        row
        for row in rows
        if row.zone in worked
        or row.state
        or row.value
        or row.lost is not None
        or row.foils
        or row.marks
    ]
    return told or rows


def foil_rows(plan: Plan) -> list[FoilRow]:
    """Every foil in laying order."""
    beside = _neighbours(plan)
    return [
        FoilRow(
            foil.number,
            foil.section,
            foil.zone,
            foil.length_mm,
            foil.stitches,
            tuple(sorted(beside[foil.number])),
        )
        for foil in plan.foils
    ]


@lru_cache(maxsize=128)
def _neighbours(plan: Plan) -> dict[int, frozenset[int]]:
    """For each foil the next ones on its parting, and the nearest on the partings on either side.

    Being neighbours goes both ways: where a parting of one foil meets a parting of two, both
    have the one beside them.
    """
    on_parting: dict[int, list[Foil]] = {}
    for foil in plan.foils:
        on_parting.setdefault(foil.parting, []).append(foil)
    pairs: set[tuple[int, int]] = set()
    for foils in on_parting.values():
        pairs |= {(one.number, other.number) for one, other in pairwise(foils)}
    for one, other in pairwise(sorted(on_parting)):
        here, there = on_parting[one], on_parting[other]
        if here[0].section == there[0].section:
            pairs |= _nearest(here, there) | _nearest(there, here)
    beside: dict[int, set[int]] = {foil.number: set() for foil in plan.foils}
    for a, b in pairs:
        beside[a].add(b)
        beside[b].add(a)
    return {number: frozenset(others) for number, others in beside.items()}


def _nearest(foils: list[Foil], others: list[Foil]) -> set[tuple[int, int]]:
    """Each foil with the one of the others whose middle is nearest to its own."""
    middle = FOIL_POINTS // 2
    there = np.stack([other.points[middle] for other in others])
    away = [np.linalg.norm(there - foil.points[middle], axis=1) for foil in foils]
    return {
        (foil.number, others[int(gaps.argmin())].number)
        for foil, gaps in zip(foils, away, strict=True)
    }
