"""The drawn head of the scoring page: zones with their counts, marks, and the target.

The target lies round the mark in hand, or where the next one is to lie. The page's script moves
it, so it is on every view, hidden where the view does not see the place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.craft.head.figures import head_figures, view_axes
from academy.craft.head.sheet import VIEWS, Place, place, zone_centre
from academy.craft.head.svg import Drawing, Fault, view_svg
from academy.craft.head.svg_faults import DOT_MM, SEEN_FROM, SMALL_DOT_MM
from academy.craft.head.zones import Zone

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.models import FaultMark, PlacedFault
    from academy.assessment.score_rows import ZoneRow

RING_MM = 8.0
TICK_MM = 5.0
SMALL_RING_MM = 15.0


@dataclass(frozen=True)
class ScoreHead:
    """What is drawn. `pending` is a place that is not kept, and its mark is not named."""

    view: str
    zones: Sequence[ZoneRow]
    faults: Sequence[FaultMark]
    chosen: FaultMark | None
    pending: Place | None

    @property
    def crop(self) -> bool:
        """Whether the neck may be cut off: there is one, and no number hangs below the hair."""
        return self.view != "top" and all(mark.zone != Zone.NAPE.value for mark in self.faults)

    @property
    def next_number(self) -> int:
        return max((mark.number for mark in self.faults), default=0) + 1

    @property
    def figures(self) -> str:
        """The head for the page's script."""
        return head_figures()

    @property
    def big(self) -> str:
        return self._view(self.view)

    @property
    def tabs(self) -> list[tuple[str, str]]:
        """Every view by its name, small."""
        return [(view, self._view(view, small=True)) for view in VIEWS]

    @property
    def large(self) -> list[str]:
        """Every view as large as the one in hand."""
        return [self._view(view) for view in VIEWS]

    def _view(self, view: str, *, small: bool = False) -> str:
        svg = view_svg(view, self._drawing, small=small)
        if self.chosen is not None:
            # Its ring is filled, so that it is found again among many.
            title = f"<title>Fault {self.chosen.number}:"
            plain, filled = (f'<g class="{css}">{title}' for css in ("hd-fault", "hd-fault chosen"))
            svg = svg.replace(plain, filled)
        return f"{svg.removesuffix('</svg>')}{self._target(view, small=small)}</svg>"

    @cached_property
    def _drawing(self) -> Drawing:
        states = dict.fromkeys(Zone, "off") | {row.zone: row.state for row in self.zones}
        return Drawing(
            states=states if self.zones else {},
            values={row.zone: row.words for row in self.zones},
            faults=[
                Fault(mark.number, float(mark.azimuth_deg), float(mark.elevation_deg), mark.words)
                for mark in self.faults
            ],
        )

    def _target(self, view: str, *, small: bool) -> str:
        at = self.pending or (place_of(self.chosen) if self.chosen else None)
        u, v, _ = place(view, at.azimuth_deg, at.elevation_deg) if at else (0.0, 0.0, 0.0)
        loose = " loose" if self.pending else ""
        shown = "visible" if at and sees(view, at) else "hidden"
        return (
            f'<g class="hd-target{loose}" data-axes="{view_axes(view)}" visibility="{shown}" '
            f'transform="translate({u:.1f} {-v:.1f})">{_SMALL if small else _LARGE}</g>'
        )


def _target_shape(ring: float, tick: float, dot: float) -> str:
    reach = ring + tick
    ticks = f"M0 {-ring}V{-reach}M0 {ring}V{reach}M{-ring} 0H{-reach}M{ring} 0H{reach}"
    both = f'<circle r="{ring}"/><path d="{ticks}"/>' if tick else f'<circle r="{ring}"/>'
    # A loose target shows a dot of its own, since no mark is drawn there.
    return f'<g class="halo">{both}</g><g class="ring">{both}</g><circle class="at" r="{dot}"/>'


_LARGE = _target_shape(RING_MM, TICK_MM, DOT_MM)
_SMALL = _target_shape(SMALL_RING_MM, 0.0, SMALL_DOT_MM)


def zone_middles() -> str:
    """The middle of each zone for a page's script: "crown 180 40.2, nape …"."""
    middles = ((zone, zone_centre(zone)) for zone in Zone)
    return ", ".join(
        f"{zone.value} {at.azimuth_deg:g} {at.elevation_deg:g}" for zone, at in middles
    )


def place_of(mark: PlacedFault) -> Place:
    """Where a fault lies, with the zone it was placed in."""
    return Place(float(mark.azimuth_deg), float(mark.elevation_deg), Zone(mark.zone))


def sees(view: str, at: Place) -> bool:
    """Whether a mark at this place is drawn in the view."""
    return place(view, at.azimuth_deg, at.elevation_deg)[2] > SEEN_FROM
