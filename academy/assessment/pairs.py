"""Two marks of one head, side by side: where they differ and what they come to together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from django.db.models import BooleanField, ExpressionWrapper, F, Q
from django.utils.translation import gettext_lazy as _

from academy.assessment.editions import edition_of
from academy.assessment.models import Assessment
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import MET
from academy.curriculum.content import Scope
from academy.web.heads import head_sheet

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from academy.assessment.models import AssessmentQuerySet, FaultMark, Ruling
    from academy.curriculum.models import Criterion
    from academy.people.models import Academy
    from academy.web.heads import HeadSheet


# Of a second mark: what `Pair.waits` says of one pair.
WAITS: Final = Q(second_of__ruling__isnull=True) & ~Q(
    outcome__by_marks=F("second_of__outcome__by_marks")
)


@dataclass(frozen=True)
class Place:
    """One place of the sheet with both levels; None where the zone was left out."""

    criterion: Criterion
    zone: str
    first: int | None
    second: int | None

    @property
    def differs(self) -> bool:
        return self.first != self.second

    @property
    def apart(self) -> int:
        """How many levels lie between them; 0 where one gave none."""
        if self.first is None or self.second is None:
            return 0
        return abs(self.first - self.second)

    @property
    def split_must(self) -> bool:
        """A must-pass criterion that one of the two did not see at standard."""
        levels = [level for level in (self.first, self.second) if level is not None]
        below = {level < MET for level in levels}
        return self.criterion.must_pass and len(below) > 1


@dataclass(frozen=True)
class PairFault:
    """A fault mark with its number on the shared drawing and whose it is: "first" or "second"."""

    number: int
    mark: FaultMark
    whose: str


class Pair:
    """First and second mark of one head, both submitted; fetched by `pairs_of`."""

    def __init__(self, second: Assessment) -> None:
        if second.second_of is None:
            raise ValueError("A pair is made from a second mark.")
        self.first, self.second = second.second_of, second

    @property
    def agree(self) -> bool:
        """Only the two outcomes by the marks are compared (trade.md 5.2)."""
        return self.first.outcome.by_marks == self.second.outcome.by_marks

    @property
    def ruling(self) -> Ruling | None:
        return getattr(self.first, "ruling", None)

    @property
    def waits(self) -> bool:
        """Whether a verifier has to rule."""
        return not self.agree and self.ruling is None

    @property
    def mean(self) -> Decimal | None:
        """The head mark of two that agree; None where they differ or one has none."""
        return mean_head_mark(self.first, self.second)

    @property
    def words(self) -> str:
        if self.agree:
            return "They agree."
        if self.ruling is not None:
            return f"They differ. Ruled: {self.ruling.get_decision_display()}."
        return "They differ. Both stand as they are until a ruling."

    @property
    def places(self) -> list[Place]:
        """Zone by zone as the sheet goes, then the whole head."""
        return list(self._places())

    def _places(self) -> Iterator[Place]:
        edition = edition_of(self.first.module_version)
        first, second = _levels(self.first), _levels(self.second)
        for criterion in edition.criteria:
            zones = [zone.value for zone in edition.judged]
            for zone in zones if criterion.scope == Scope.ZONES.value else [""]:
                key = (criterion.pk, zone)
                yield Place(criterion, zone, first.get(key), second.get(key))

    @property
    def differing(self) -> int:
        return sum(place.differs for place in self.places)

    @property
    def split_musts(self) -> list[Place]:
        return [place for place in self.places if place.split_must]

    @property
    def faults(self) -> list[PairFault]:
        """The first's faults, then the second's, numbered through."""
        marks = [(mark, "first") for mark in self.first.fault_marks.all()]
        marks += [(mark, "second") for mark in self.second.fault_marks.all()]
        return [PairFault(number, mark, whose) for number, (mark, whose) in enumerate(marks, 1)]

    @property
    def head(self) -> HeadSheet:
        """How many places differ in each zone, and the faults of both."""
        places = [place for place in self.places if place.zone]
        zones = {Zone(place.zone): [p for p in places if p.zone == place.zone] for place in places}
        differ = {zone: sum(p.differs for p in rows) for zone, rows in zones.items()}
        drawing = Drawing(
            states={
                zone: ("part" if differ[zone] else "done") if zone in zones else "off"
                for zone in Zone
            }
            if zones
            else {},
            state_words={"part": "levels differ", "done": "the same"},
            values={
                zone: f"{differ[zone]} of {len(rows)}"
                for zone, rows in zones.items()
                if differ[zone]
            },
            faults=[
                Fault(
                    row.number,
                    float(row.mark.azimuth_deg),
                    float(row.mark.elevation_deg),
                    f"{row.mark.words}, {row.whose} mark",
                    sign=row.whose,
                )
                for row in self.faults
            ],
        )
        return head_sheet(drawing, state=_("Levels"))


def mean_head_mark(first: Assessment, second: Assessment) -> Decimal | None:
    """The mean of two head marks that came to the same; None for a disagreement or a stop."""
    if first.outcome.by_marks != second.outcome.by_marks:
        return None
    marks = (first.outcome.head_mark, second.outcome.head_mark)
    if marks[0] is None or marks[1] is None:
        return None
    return (marks[0] + marks[1]) / 2


def pairs_of(academy: Academy) -> AssessmentQuerySet:
    """The submitted second marks of an academy with all that `Pair` reads, newest first."""
    return (
        Assessment.objects.counting()
        .filter(academy=academy, kind=Assessment.Kind.SECOND)
        .filter(second_of__withdrawal__isnull=True)
        .select_related(
            "academy",
            "assessor",
            "outcome",
            "second_of__academy",
            "second_of__apprentice",
            "second_of__assessor",
            "second_of__module_version__module",
            "second_of__outcome",
            "second_of__ruling__verifier",
        )
        .prefetch_related(
            "marks",
            "fault_marks__fault",
            "second_of__marks",
            "second_of__fault_marks__fault",
        )
        .order_by("-submitted_at", "-pk")
    )


def waits_first(seconds: AssessmentQuerySet) -> AssessmentQuerySet:
    """Those that wait for a ruling first, then the newest."""
    rows = seconds.annotate(waits=ExpressionWrapper(WAITS, output_field=BooleanField()))
    return rows.order_by("-waits", "-submitted_at", "-pk")


def _levels(assessment: Assessment) -> dict[tuple[int, str], int]:
    return {(mark.criterion_id, mark.zone): mark.level for mark in assessment.marks.all()}
