"""How assessors differ from a reference head, and how feedback texts were rated."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from academy.assessment.models import Assessment, FeedbackRating, ReferenceHead
from academy.assessment.services.standardising import places_of
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.curriculum.house import rules_today
from academy.web.heads import head_sheet

if TYPE_CHECKING:
    from academy.assessment.models import FaultMark, ReferenceFault, ReferenceMarking
    from academy.curriculum.models import Criterion
    from academy.people.models import Academy, Person
    from academy.web.heads import HeadSheet

Key = tuple[int, str]


@dataclass(frozen=True)
class Against:
    """One place: the agreed level with its reason, and the assessor's; None where none is."""

    criterion: Criterion
    zone: str
    agreed: int
    reason: str
    given: int | None

    @property
    def difference(self) -> int | None:
        """Assessor minus agreed: below 0 is harder."""
        return None if self.given is None else self.given - self.agreed

    @property
    def words(self) -> str:
        if self.difference is None:
            return "no level"
        if self.difference == 0:
            return "the same"
        return f"{abs(self.difference)} {'harder' if self.difference < 0 else 'softer'}"


@dataclass(frozen=True)
class AssessorRow:
    """One assessor over one or many reference heads: places the same, one apart, more apart."""

    name: str
    heads: int
    same: int
    one: int
    more: int
    total: int
    few: bool

    @property
    def places(self) -> int:
        return self.same + self.one + self.more

    @property
    def mean(self) -> float:
        """Mean difference in levels; below 0 is harder than agreed."""
        return self.total / self.places if self.places else 0.0

    @property
    def words(self) -> str:
        if self.few:
            return "Too few to say"
        if abs(self.mean) < 0.25:  # a quarter of a level: common practice, no source
            return "As agreed"
        return f"{abs(self.mean):.1f} levels {'harder' if self.mean < 0 else 'softer'}"


class Compared:
    """One submitted marking beside its reference head."""

    def __init__(self, reference: ReferenceHead, assessment: Assessment) -> None:
        self.reference, self.assessment = reference, assessment
        self.rows = against(reference, levels_of(assessment))

    @property
    def differing(self) -> int:
        return sum(bool(row.difference) or row.given is None for row in self.rows)

    @property
    def head(self) -> HeadSheet:
        """Where the levels differ, with the agreed faults round and the assessor's square."""
        by_zone: dict[Zone, int] = defaultdict(int)
        judged: dict[Zone, int] = defaultdict(int)
        for row in self.rows:
            if row.zone:
                by_zone[Zone(row.zone)] += bool(row.difference)
                judged[Zone(row.zone)] += 1
        faults = [(fault, "first") for fault in self.reference.faults.all()]
        marked = [(mark, "second") for mark in self.assessment.fault_marks.all()]
        own: list[tuple[FaultMark | ReferenceFault, str]] = [*faults, *marked]
        return head_sheet(
            Drawing(
                states={
                    zone: ("part" if by_zone[zone] else "done") if zone in by_zone else "off"
                    for zone in Zone
                }
                if by_zone
                else {},
                state_words={"part": "levels differ", "done": "as agreed"},
                values={zone: f"{n} of {judged[zone]}" for zone, n in by_zone.items() if n},
                faults=[
                    Fault(
                        number,
                        float(mark.azimuth_deg),
                        float(mark.elevation_deg),
                        f"{mark.words}, {'agreed' if sign == 'first' else 'yours'}",
                        sign=sign,
                    )
                    for number, (mark, sign) in enumerate(own, 1)
                ],
            ),
            state=_("Levels"),
        )

    @property
    def faults(self) -> list[tuple[int, FaultMark | ReferenceFault, bool]]:
        """Number on the drawing, fault mark, whether it is an agreed one."""
        agreed, own = self.reference.faults.all(), self.assessment.fault_marks.all()
        marks: list[tuple[FaultMark | ReferenceFault, bool]] = [(fault, True) for fault in agreed]
        marks += [(mark, False) for mark in own]
        return [(number, mark, whose) for number, (mark, whose) in enumerate(marks, 1)]


def levels_of(assessment: Assessment) -> dict[Key, int]:
    return {(mark.criterion_id, mark.zone): mark.level for mark in assessment.marks.all()}


def against(reference: ReferenceHead, given: dict[Key, int]) -> list[Against]:
    agreed = {(row.criterion_id, row.zone): row for row in reference.levels.all()}
    return [
        Against(
            one,
            zone,
            agreed[one.pk, zone].level,
            agreed[one.pk, zone].reason,
            given.get((one.pk, zone)),
        )
        for one, zone in places_of(reference.module_version)
    ]


def submitted_markings(academy: Academy) -> list[ReferenceMarking]:
    """Every submitted marking of a reference head, with what comparing reads. Five queries."""
    rows = ReferenceHead.objects.filter(academy=academy, published_at__isnull=False)
    heads = rows.select_related("module_version").prefetch_related(
        "levels", "markings__assessor", "markings__assessment__marks"
    )
    return [
        marking
        for head in heads
        for marking in _of(head)
        if marking.assessment.state == Assessment.State.SUBMITTED
    ]


def _of(head: ReferenceHead) -> list[ReferenceMarking]:
    found = list(head.markings.all())
    for marking in found:
        marking.reference = head
    return found


def over_assessors(academy: Academy, markings: list[ReferenceMarking]) -> list[AssessorRow]:
    """One row for each assessor; a count of heads under the academy's figure says too little."""
    fewest = int(rules_today(academy).number("judging", what="fewest_compared"))
    by_person: dict[int, list[ReferenceMarking]] = defaultdict(list)
    for marking in markings:
        by_person[marking.assessor_id].append(marking)
    rows = [_row(found, fewest) for found in by_person.values()]
    return sorted(rows, key=lambda row: row.name)


def _row(found: list[ReferenceMarking], fewest: int) -> AssessorRow:
    apart = [
        row.difference
        for marking in found
        for row in against(marking.reference, levels_of(marking.assessment))
        if row.difference is not None
    ]
    return AssessorRow(
        name=found[0].assessor.name,
        heads=len(found),
        same=sum(step == 0 for step in apart),
        one=sum(abs(step) == 1 for step in apart),
        more=sum(abs(step) > 1 for step in apart),
        total=sum(apart),
        few=len(found) < fewest,
    )


@dataclass(frozen=True)
class FeedbackMean:
    """How an assessor's feedback texts were rated; `low` asks a verifier to look."""

    name: str
    texts: int
    mean: float
    few: bool
    low: bool


def feedback_means(academy: Academy) -> list[FeedbackMean]:
    """The mean rating of each assessor's rated texts, each text by its own mean first."""
    rules = rules_today(academy)
    enough = int(rules.number("judging", what="feedback_texts"))
    line = float(rules.number("judging", what="feedback_mean"))
    by_text: dict[tuple[str, int, int], list[int]] = defaultdict(list)
    rows = FeedbackRating.objects.filter(feedback__assessment__academy=academy).values_list(
        "feedback__written_by__name", "feedback__written_by", "feedback", "rating"
    )
    for name, writer, text, rating in rows:
        by_text[name, writer, text].append(rating)
    by_writer: dict[tuple[str, int], list[float]] = defaultdict(list)
    for (name, writer, _text), ratings in by_text.items():
        by_writer[name, writer].append(sum(ratings) / len(ratings))
    return [
        FeedbackMean(
            name=name,
            texts=len(means),
            mean=sum(means) / len(means),
            few=len(means) < enough,
            low=len(means) >= enough and sum(means) / len(means) < line,
        )
        for (name, _writer), means in sorted(by_writer.items())
    ]


def reference_of(assessment: Assessment) -> ReferenceHead | None:
    """The reference head that is marked here, with its photos; no query for any other head."""
    if assessment.kind != Assessment.Kind.STANDARDISATION:
        return None
    rows = ReferenceHead.objects.filter(markings__assessment=assessment)
    return rows.prefetch_related("photos").first()


def may_see_agreed(reference: ReferenceHead, person: Person, *, assesses: bool) -> bool:
    """Whoever wrote it or does not assess; an assessor once their own marking is in."""
    if person.pk == reference.made_by_id or not assesses:
        return True
    return reference.markings.filter(
        assessor=person, assessment__state=Assessment.State.SUBMITTED
    ).exists()
