"""What the scoring page shows: the head, the zones, the criteria in hand, what is missing.

Built from one assessment fetched by `for_scoring`; no further query.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from academy.assessment.marking import marking_of
from academy.craft.head.sheet import VIEW_TITLES, VIEWS, Place
from academy.craft.head.svg import Drawing, Fault, view_svg
from academy.craft.head.zones import Zone
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import missing
from academy.craft.judging.scale import Rating
from academy.craft.measure import counted
from academy.curriculum.content import Scope
from academy.curriculum.reference import stop_events

if TYPE_CHECKING:
    from academy.assessment.models import Assessment, FaultMark
    from academy.curriculum.models import Criterion

# The view that shows a zone best, for a first look.
ZONE_VIEWS = {
    Zone.FRINGE: "front",
    Zone.TOP: "top",
    Zone.CROWN: "top",
    Zone.SIDE_LEFT: "left",
    Zone.SIDE_RIGHT: "right",
    Zone.OCCIPITAL: "back",
    Zone.NAPE: "back",
}


@dataclass(frozen=True)
class Gap:
    """One place without a level, or the rating (criterion empty)."""

    criterion: str
    title: str
    zone: str

    @property
    def anchor(self) -> str:
        return f"crit-{self.criterion}" if self.criterion else "overall"


@dataclass(frozen=True)
class ZoneRow:
    zone: Zone
    done: int
    most: int
    left_out: str
    current: bool

    @property
    def open(self) -> int:
        return self.most - self.done

    @property
    def full_words(self) -> str:
        return f"{self.done} of {self.most}"


@dataclass(frozen=True)
class CriterionRow:
    """A criterion in the zone in hand, or for the head, with its level so far."""

    criterion: Criterion
    zone: str
    chosen: int | None

    @property
    def name(self) -> str:
        """Form name of its level: code and zone."""
        return f"level-{self.criterion.code}-{self.zone}"

    @property
    def levels(self) -> list[tuple[int, str]]:
        return list(enumerate(self.criterion.levels))

    @property
    def chosen_text(self) -> str:
        return "" if self.chosen is None else self.criterion.levels[self.chosen]


class ScorePage:
    """One draft with one zone and one view in hand."""

    def __init__(self, assessment: Assessment, zone: str = "", view: str = "") -> None:
        self.assessment = assessment
        self.judged = [
            zone for zone in Zone if zone.value in assessment.module_version.judged_zones
        ]
        by_zone = any(c.scope == Scope.ZONES.value for c in self._criteria)
        self.zones_judged = self.judged if by_zone else []
        self.zone = self._chosen_zone(zone)
        self.view = view if view in VIEWS else self._first_view()

    @property
    def _criteria(self) -> list[Criterion]:
        return list(self.assessment.module_version.criteria.all())

    @cached_property
    def _levels(self) -> dict[tuple[str, str], int]:
        return {
            (mark.criterion.code, mark.zone): mark.level for mark in self.assessment.marks.all()
        }

    @cached_property
    def _left_out(self) -> dict[str, str]:
        return {row.zone: row.reason for row in self.assessment.zones_left_out.all()}

    @cached_property
    def stopped(self) -> bool:
        return getattr(self.assessment, "stop_event", None) is not None

    @cached_property
    def gaps(self) -> list[Gap]:
        """Everything still missing, zone by zone as the page goes; nothing after a stop."""
        if self.stopped:
            return []
        titles = {criterion.code: criterion.title for criterion in self._criteria}
        try:
            places = missing(marking_of(self.assessment))
        except JudgingError:
            # Every zone left out: `trouble` says so.
            places = []
        order = {zone.value: index for index, zone in enumerate(self.judged)}
        found = [Gap(code, titles[code], zone or "") for code, zone in places]
        found.sort(key=lambda gap: order.get(gap.zone, len(order)))
        if self.assessment.overall is None:
            found.append(Gap("", "overall rating", ""))
        return found

    @cached_property
    def trouble(self) -> str:
        """Why this cannot be decided on although nothing is missing; usually empty."""
        try:
            marking_of(self.assessment)
        except JudgingError as error:
            return str(error)
        return ""

    @property
    def ready(self) -> bool:
        return not self.gaps and not self.trouble

    @property
    def missing_words(self) -> str:
        """Where levels are missing: "crown 2, right side 3, whole head 1"."""
        counts: dict[str, int] = {}
        for gap in self.gaps:
            where = Zone(gap.zone).words if gap.zone else "whole head"
            if not gap.criterion:
                where = "overall rating"
            counts[where] = counts.get(where, 0) + 1
        return ", ".join(f"{where} {count}" for where, count in counts.items())

    @property
    def next_gap(self) -> Gap | None:
        """The next gap in the zone in hand, else the next anywhere."""
        here = [gap for gap in self.gaps if gap.zone == self.zone and gap.criterion]
        return next(iter(here or self.gaps), None)

    @cached_property
    def zone_rows(self) -> list[ZoneRow]:
        codes = [c.code for c in self._criteria if c.scope == Scope.ZONES.value]
        return [
            ZoneRow(
                zone=zone,
                done=sum((code, zone.value) in self._levels for code in codes),
                most=len(codes),
                left_out=self._left_out.get(zone.value, ""),
                current=zone.value == self.zone,
            )
            for zone in self.zones_judged
        ]

    @property
    def current(self) -> ZoneRow | None:
        return next((row for row in self.zone_rows if row.current), None)

    @property
    def not_judged(self) -> str:
        words = [zone.words for zone in Zone if zone not in self.zones_judged]
        return ", ".join(words) if self.zones_judged else ""

    @property
    def zone_criteria(self) -> list[CriterionRow]:
        if not self.zone or self.zone in self._left_out:
            return []
        return self._rows(Scope.ZONES, self.zone)

    @property
    def head_criteria(self) -> list[CriterionRow]:
        return self._rows(Scope.HEAD, "")

    @property
    def faults(self) -> list[FaultMark]:
        return list(self.assessment.fault_marks.all())

    @property
    def faults_here(self) -> list[FaultMark]:
        return [mark for mark in self.faults if not self.zone or mark.zone == self.zone]

    @property
    def has_head(self) -> bool:
        """Whether a head is drawn: a module without zones and sheets has none."""
        return bool(self.judged) or bool(self.assessment.module_version.sheets.all())

    @property
    def big_head(self) -> str:
        return view_svg(self.view, self._drawing(pressable=True))

    @property
    def tabs(self) -> list[tuple[str, str, str, bool]]:
        """View, title, small drawing, whether it is the one in hand."""
        drawing = self._drawing(pressable=False)
        return [
            (view, VIEW_TITLES[view], view_svg(view, drawing, small=True), view == self.view)
            for view in VIEWS
        ]

    @property
    def ratings(self) -> list[tuple[int, str]]:
        return [(rating.value, rating.word) for rating in Rating]

    @property
    def stop_words(self) -> str:
        stop = getattr(self.assessment, "stop_event", None)
        texts = {event.id: event.text for event in stop_events()}
        return texts[stop.event] if stop else ""

    @property
    def time_words(self) -> str:
        version = self.assessment.module_version
        minutes = counted(version.time_minutes.normalize(), "minute")
        per = "" if version.time_per == "work" else f" a {version.time_per}"
        return f"{minutes}{per}"

    def _rows(self, scope: Scope, zone: str) -> list[CriterionRow]:
        return [
            CriterionRow(criterion, zone, self._levels.get((criterion.code, zone)))
            for criterion in self._criteria
            if criterion.scope == scope.value
        ]

    def _chosen_zone(self, zone: str) -> str:
        known = [judged.value for judged in self.zones_judged]
        if zone in known:
            return zone
        return next((gap.zone for gap in self.gaps if gap.zone), known[0] if known else "")

    def _first_view(self) -> str:
        return ZONE_VIEWS[Zone(self.zone)] if self.zone else "left"

    def _drawing(self, *, pressable: bool) -> Drawing:
        states = dict.fromkeys(Zone, "off")
        values = {}
        for row in self.zone_rows:
            states[row.zone] = self._state(row)
            values[row.zone] = "left out" if row.left_out else f"{row.done} of {row.most}"
        return Drawing(
            states=states if self.zone_rows else {},
            values=values,
            faults=[
                Fault(
                    mark.number,
                    float(mark.azimuth_deg),
                    float(mark.elevation_deg),
                    mark.words,
                )
                for mark in self.faults
            ],
            pressable=pressable,
        )

    def _state(self, row: ZoneRow) -> str:
        if row.current:
            return "sel"
        if row.left_out:
            return "off"
        return "part" if row.open else "done"


def place_of(mark: FaultMark) -> Place:
    """Where a fault mark lies on the head."""
    return Place(float(mark.azimuth_deg), float(mark.elevation_deg), Zone(mark.zone))
