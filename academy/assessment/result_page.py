"""What a result sheet shows of a submitted assessment, fetched by `for_result`."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from academy.assessment.editions import edition_for
from academy.assessment.pairs import mean_head_mark
from academy.assessment.points import counting
from academy.assessment.reading import days_to_read, read_by
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.craft.judging.marking import SecondCause
from academy.craft.judging.scale import MET
from academy.curriculum.content import Scope
from academy.curriculum.reference import cautions
from academy.web.heads import head_sheet

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

    from academy.assessment.models import Acknowledgement, Assessment, FaultMark, Feedback, Outcome
    from academy.curriculum.models import Criterion
    from academy.web.heads import HeadSheet


DRAWN = "Drawn by the sample: a second assessor marks the same head."


@dataclass(frozen=True)
class LevelRow:
    """A criterion with its levels: one per judged zone, or one for the head."""

    criterion: Criterion
    cells: tuple[int | None, ...]

    @property
    def met(self) -> bool:
        given = [level for level in self.cells if level is not None]
        return bool(given) and all(level >= MET for level in given)

    @property
    def missed(self) -> bool:
        return any(level is not None and level < MET for level in self.cells)

    @property
    def text(self) -> str:
        """What the level of a head criterion says in its own words."""
        level = self.cells[0]
        return "" if level is None else self.criterion.levels[level]


class ResultPage:
    """The sheet of one assessment.

    With `standing` it shows the levels, faults, reasons and feedback of the mark that stands: the
    second one's where a verifier ruled so. That is what an apprentice reads.
    """

    def __init__(self, assessment: Assessment, *, standing: bool = False) -> None:
        self.assessment = assessment
        self.ruling = getattr(assessment, "ruling", None)
        self.marked = assessment.mark_that_stands if standing else assessment
        self.outcome: Outcome = self.marked.outcome
        self.edition = edition_for(assessment)
        self.judged = self.edition.judged
        self._levels = {
            (mark.criterion_id, mark.zone): mark.level for mark in self.marked.marks.all()
        }

    @property
    def state(self) -> str:
        return self.assessment.shown

    @property
    def verdict(self) -> str:
        """The result; of a head that is not decided, what it waits for."""
        if self.ruling is not None and self.ruling.decision == "one_more":
            return "One more head"
        words = {"competent": "Competent", "notyet": "Not yet", "withdrawn": "Withdrawn"}
        waits = "Waits for a ruling" if self.pair else "Needs a second assessor"
        return words.get(self.state, waits)

    @property
    def verdict_withheld(self) -> str:
        """What the apprentice reads of a head that is not decided."""
        undecided = self.state == "second" and self.ruling is None
        return "Being looked at by a second assessor" if undecided else self.verdict

    @property
    def next_sheet(self) -> Assessment | None:
        """The submitted sheet that was begun with the levels of this withdrawn one."""
        again = getattr(self.assessment, "again", None)
        submitted = again is not None and again.state == again.State.SUBMITTED
        return again if submitted else None

    @property
    def judged_by(self) -> str:
        """Whose mark is shown. The apprentice, who alone reads another one here, reads no name."""
        if self.marked.pk != self.assessment.pk:
            return "A second assessor"
        return self.assessment.assessor.name

    @property
    def acknowledgement(self) -> Acknowledgement | None:
        return getattr(self.assessment, "acknowledgement", None)

    @cached_property
    def read_by(self) -> date | None:
        """The last day to say "read"; None while it is not shown whole."""
        return read_by(self.assessment, days_to_read(self.assessment.rule_set))

    @property
    def not_acknowledged(self) -> bool:
        """Whether that day is over without an answer."""
        over = self.read_by is not None and timezone.localdate() > self.read_by
        return over and self.acknowledgement is None

    @property
    def reasons(self) -> list[str]:
        """The stored reasons; that the sample drew the head is said here, from the causes."""
        found = [reason["sentence"] for reason in self.outcome.reasons]
        if self.agreed is not None:
            sentences = [reason["sentence"] for reason in self.agreed.outcome.reasons]
            found += [f"The other mark of this head: {sentence}" for sentence in sentences]
        return [*found, DRAWN] if SecondCause.SAMPLE in self.outcome.causes else found

    @property
    def agreed(self) -> Assessment | None:
        """The other mark of this head where both came to the same."""
        if self.pair is None:
            return None
        first, second = self.pair
        if first.outcome.by_marks != second.outcome.by_marks:
            return None
        return second if self.assessment.pk == first.pk else first

    @property
    def head_mark(self) -> Decimal | None:
        """The head mark that is shown: the mean of two that agree (trade.md 5.2)."""
        if self.agreed is not None:
            return mean_head_mark(self.assessment, self.agreed)
        return self.outcome.head_mark

    @property
    def pair(self) -> tuple[Assessment, Assessment] | None:
        """First and second mark of this head, where both are submitted."""
        first = self.assessment.second_of or self.assessment
        return (first, first.second) if first.second is not None else None

    @property
    def pair_words(self) -> str:
        """How first and second mark go together; empty without a second."""
        if self.pair is None:
            return ""
        first, second = self.pair
        if first.outcome.by_marks == second.outcome.by_marks:
            return "They agree."
        ruling = getattr(first, "ruling", None)
        if ruling is not None:
            return f"They differ. Ruled: {ruling.get_decision_display()}."
        return "They differ. Both stand as they are until a ruling."

    @property
    def zone_rows(self) -> list[LevelRow]:
        return [
            LevelRow(row, tuple(self._levels.get((row.pk, zone.value)) for zone in self.judged))
            for row in self.edition.of_scope(Scope.ZONES)
        ]

    @property
    def zone_totals(self) -> list[tuple[int, int] | None]:
        """Marks given and most possible in each judged zone, unweighted; None for one left out."""
        columns = zip(*(row.cells for row in self.zone_rows), strict=True)
        totals: list[tuple[int, int] | None] = []
        for cells in columns:
            given = [level for level in cells if level is not None]
            totals.append((sum(given), 4 * len(given)) if given else None)
        return totals

    @property
    def head_rows(self) -> list[LevelRow]:
        return [
            LevelRow(row, (self._levels.get((row.pk, "")),))
            for row in self.edition.of_scope(Scope.HEAD)
        ]

    @property
    def met(self) -> list[LevelRow]:
        """Criteria that reached 3 wherever they were judged."""
        return [row for row in [*self.zone_rows, *self.head_rows] if row.met]

    @property
    def missed(self) -> list[LevelRow]:
        """Criteria with a level under 3 somewhere."""
        return [row for row in [*self.zone_rows, *self.head_rows] if row.missed]

    @property
    def form_number(self) -> str:
        """What the printed sheet is found again by, for example R000187."""
        return f"R{self.assessment.pk:06d}"

    @property
    def faults(self) -> list[FaultMark]:
        return list(self.marked.fault_marks.all())

    @property
    def left_out(self) -> list[tuple[str, str]]:
        return [(Zone(row.zone).words, row.reason) for row in self.marked.zones_left_out.all()]

    @property
    def feedback(self) -> list[Feedback]:
        """What counts now: rows that no later one corrects."""
        return counting(self.marked.feedback.all())

    @property
    def earlier_feedback(self) -> list[Feedback]:
        counted = {row.pk for row in self.feedback}
        return [row for row in self.marked.feedback.all() if row.pk not in counted]

    @property
    def cautions(self) -> list[str]:
        """The module's cautions; the one for every sheet is printed by the part itself."""
        wanted = set(self.assessment.module_version.cautions)
        return [c.text for c in cautions() if c.id in wanted and not c.everywhere]

    @property
    def head(self) -> HeadSheet | None:
        """Each zone's levels, its share of marks lost and the faults; None without any of them."""
        lost = self._lost()
        if not lost and not self.faults:
            return None
        drawing = Drawing(
            values={
                zone: f"{total[0]} of {total[1]}"
                for zone, total in zip(self.judged, self.zone_totals, strict=False)
                if total
            },
            heat=lost,
            faults=[
                Fault(mark.number, float(mark.azimuth_deg), float(mark.elevation_deg), mark.words)
                for mark in self.faults
            ],
        )
        return head_sheet(drawing, state=_("Levels"))

    def _lost(self) -> dict[Zone, float]:
        """Share of available marks lost by zone, criteria weighted."""
        lost: dict[Zone, float] = defaultdict(float)
        most: dict[Zone, float] = defaultdict(float)
        for row in self.zone_rows:
            for zone, level in zip(self.judged, row.cells, strict=True):
                if level is not None:
                    lost[zone] += row.criterion.weight * (4 - level)
                    most[zone] += row.criterion.weight * 4
        return {zone: lost[zone] / most[zone] for zone in most}
