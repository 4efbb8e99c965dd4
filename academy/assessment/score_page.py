"""What the scoring page shows: the zones, the criteria in hand, what is missing, the marks.

Built from one assessment fetched by `for_scoring`; no further query.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.editions import edition_for, scope_of
from academy.assessment.in_hand import InHand
from academy.assessment.marking import marking_of
from academy.assessment.score_clock import Clock, clock_of
from academy.assessment.score_gaps import Gap, gaps_of, told_by_place
from academy.assessment.score_head import ScoreHead, place_of, sees, zone_middles
from academy.assessment.score_rows import FaultRow, ZoneRow
from academy.assessment.score_walk import Walk
from academy.craft.head.sheet import VIEWS, best_view, zone_centre
from academy.craft.head.zones import Zone
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.scale import Rating
from academy.craft.measure import counted
from academy.curriculum.content import Scope
from academy.curriculum.reference import stop_events

if TYPE_CHECKING:
    from academy.assessment.models import Assessment, FaultMark
    from academy.craft.head.sheet import Place


class ScorePage:
    """One draft with what is in hand.

    `pending` is a tapped place whose fault is not chosen yet. `off` is a mark that was taken off
    just now: the assessment may have been read before.
    """

    def __init__(
        self,
        assessment: Assessment,
        hand: InHand | None = None,
        *,
        pending: Place | None = None,
        off: FaultMark | None = None,
    ) -> None:
        self.assessment = assessment
        self.edition = edition_for(assessment)
        self.partial = bool(scope_of(assessment))
        self.pending = pending
        self.off = off and self._named(off)
        hand = hand or InHand()
        self.zone = self._chosen_zone(hand.zone)
        self.chosen = next((mark for mark in self.faults if mark.client_key == hand.fault), None)
        self.view = hand.view if hand.view in VIEWS else self._first_view()
        self.hand = replace(hand, zone=self.zone, view=self.view)
        if self.chosen is None:
            self.hand = replace(self.hand, fault="", tap=False, was="")

    @cached_property
    def _levels(self) -> dict[tuple[int, str], int]:
        return {(mark.criterion_id, mark.zone): mark.level for mark in self.assessment.marks.all()}

    @cached_property
    def _left_out(self) -> dict[str, str]:
        return {row.zone: row.reason for row in self.assessment.zones_left_out.all()}

    @property
    def query(self) -> str:
        """What stands behind `?` so that the same zone and view come again."""
        return self.hand.page

    @property
    def stopped(self) -> bool:
        return getattr(self.assessment, "stop_event", None) is not None

    @cached_property
    def gaps(self) -> list[Gap]:
        """Everything still missing, zone by zone as the page goes; nothing after a stop."""
        return [] if self.stopped else gaps_of(self.assessment, self.edition)

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
        """Where levels are missing: "crown 2 · right side 3 · whole head 1"."""
        return told_by_place(self.gaps)

    @property
    def next_gap(self) -> Gap | None:
        """The next gap in the zone or the criterion in hand, else the next anywhere."""
        codes = [criterion.code for criterion in self.edition.of_scope(Scope.ZONES)]
        found = self.gaps
        if self.hand.by:
            # All of one criterion, then of the next.
            found = sorted(found, key=lambda gap: codes.index(gap.criterion) if gap.zone else 99)
            code = self.hand.row.rpartition("-")[0]
            here = [gap for gap in found if gap.zone and gap.criterion == code]
        else:
            here = [gap for gap in found if gap.zone == self.zone and gap.criterion]
        return next(iter(here or found), None)

    @cached_property
    def zone_rows(self) -> list[ZoneRow]:
        criteria = [criterion.pk for criterion in self.edition.of_scope(Scope.ZONES)]
        return [
            ZoneRow(
                zone=zone,
                done=sum((pk, zone.value) in self._levels for pk in criteria),
                most=len(criteria),
                left_out=self._left_out.get(zone.value, ""),
                current=zone.value == self.zone,
            )
            for zone in self.edition.zones
        ]

    @property
    def current(self) -> ZoneRow | None:
        return next((row for row in self.zone_rows if row.current), None)

    @property
    def not_judged(self) -> str:
        zones = self.edition.zones
        return ", ".join(zone.words for zone in Zone if zone not in zones) if zones else ""

    @cached_property
    def walk(self) -> Walk:
        """The criteria with their levels, and which of them is in hand."""
        return Walk(
            edition=self.edition,
            levels=self._levels,
            left_out=self._left_out,
            hand=self.hand,
            gap=self.next_gap.place if self.next_gap else "",
        )

    @property
    def clock(self) -> Clock:
        """The time since the draft was begun."""
        return clock_of(self.assessment, timezone.now())

    @property
    def by_queries(self) -> list[tuple[str, str, str, bool]]:
        """The two ways to walk: value, words, what stands behind `?`, and whether it is now."""
        ways = (("", "Zone by zone"), ("criterion", "Criterion by criterion"))
        return [
            (by, words, replace(self._nothing, by=by).page, by == self.hand.by)
            for by, words in ways
        ]

    @property
    def next_query(self) -> str:
        """What stands behind `?` to take the next gap in hand."""
        gap = self.next_gap
        if gap is None:
            return ""
        return replace(self._nothing, zone=gap.zone or self.zone, view="", row=gap.place).page

    @cached_property
    def faults(self) -> list[FaultMark]:
        return [
            self._named(mark)
            for mark in self.assessment.fault_marks.all()
            if self.off is None or mark.client_key != self.off.client_key
        ]

    @property
    def fault_rows(self) -> list[FaultRow]:
        """The marks as the list shows them; choosing one shows it in a view that sees it."""
        rows = []
        for mark in self.faults:
            at = place_of(mark)
            view = self.view if sees(self.view, at) else best_view(at)
            free = replace(self.hand, view=view, marking=False, was="")
            choose = replace(free, fault=mark.client_key, tap=True).query
            rows.append(FaultRow(mark, choose, mark is self.chosen))
        return rows

    @property
    def unseen(self) -> str:
        """The view to turn to where the one in hand does not see the chosen mark; usually empty."""
        if self.chosen is None or sees(self.view, place_of(self.chosen)):
            return ""
        return best_view(place_of(self.chosen))

    @property
    def has_head(self) -> bool:
        """Whether a head is drawn: a module without zones and sheets has none."""
        return bool(self.edition.judged) or self.edition.has_sheets

    @property
    def middles(self) -> str:
        return zone_middles()

    @cached_property
    def drawn(self) -> ScoreHead:
        return ScoreHead(self.view, self.zone_rows, self.faults, self.chosen, self.pending)

    @property
    def mark_query(self) -> str:
        return replace(self._nothing, marking=True).query

    @property
    def size_query(self) -> str:
        """The same with the head larger, or smaller again."""
        return replace(self.hand, large=not self.hand.large).query

    @property
    def turn_query(self) -> str:
        """The same in the view that sees the mark in hand."""
        return self.view_query(self.unseen)

    def view_query(self, view: str) -> str:
        return replace(self.hand, view=view).query

    @property
    def _nothing(self) -> InHand:
        return replace(self.hand, marking=False, fault="", tap=False, was="")

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

    def _chosen_zone(self, zone: str) -> str:
        known = [judged.value for judged in self.edition.zones]
        if zone in known:
            return zone
        return next((gap.zone for gap in self.gaps if gap.zone), known[0] if known else "")

    def _first_view(self) -> str:
        """The view that shows the mark in hand best, or the zone."""
        if self.chosen is not None:
            return best_view(place_of(self.chosen))
        return best_view(zone_centre(Zone(self.zone))) if self.zone else "left"

    def _named(self, mark: FaultMark) -> FaultMark:
        """The mark with its fault, which the edition holds already."""
        if mark.fault_id is not None:
            own = {fault.pk: fault for fault in self.edition.faults}
            mark.fault = own[mark.fault_id]
        return mark
