"""One apprentice: every module at a glance, and the whole evidence in one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.models import ActionPlan, Assessment, Booking, FaultMark, SignOff
from academy.assessment.queries import Place, places
from academy.assessment.results import Condition, Standing, conditions
from academy.craft.head.svg import VIEW_TITLES, VIEWS, Drawing, Fault, view_svgs
from academy.craft.judging.readiness import pass_rate_words
from academy.curriculum.models import Module, ModuleVersion
from academy.exercises.models import AnswerSheet
from academy.practice.models import PracticeSession

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class ModuleRow:
    version: ModuleVersion
    place: Place


@dataclass(frozen=True)
class Evidence:
    """Everything on record for one apprentice in one module."""

    person: Person
    version: ModuleVersion
    place: Place
    conditions: list[Condition]
    assessments: list[Assessment]
    sessions: list[PracticeSession]
    sheets: list[AnswerSheet]
    sign_offs: list[SignOff]
    plans: list[ActionPlan]
    booking: Booking | None
    faults: list[FaultMark]

    @property
    def may_be_asked_for(self) -> bool:
        """Whether an assessment is the next step: practised enough, needs met, none booked."""
        waits = self.place.standing in (Standing.READY, Standing.NOT_YET, Standing.EXPIRED)
        ready = self.place.progress.met and not self.place.open_needs
        return waits and ready and self.booking is None

    @property
    def run_words(self) -> str:
        """The honest sentence beside the count of heads; empty without a head."""
        heads = self.place.evidence.heads
        competent = sum(head.result.value == "competent" for head in heads)
        return pass_rate_words(competent, len(heads)) if heads else ""

    @property
    def head_views(self) -> list[tuple[str, str]]:
        """Every fault mark of every head on one sheet; empty where there is none."""
        if not self.faults:
            return []
        drawing = Drawing(
            faults=[
                Fault(
                    number,
                    float(mark.azimuth_deg),
                    float(mark.elevation_deg),
                    mark.words,
                )
                for number, mark in enumerate(self.faults, 1)
            ]
        )
        svgs = view_svgs(drawing)
        return [(VIEW_TITLES[view], svgs[view]) for view in VIEWS]


def modules_of(academy: Academy, person: Person) -> list[ModuleRow]:
    """Where the person stands in every published module, in the order of the list."""
    found = places(academy, [person.pk])
    versions = _versions(place.version for place in found.values())
    rows = [ModuleRow(versions[place.version], place) for place in found.values()]
    return sorted(rows, key=lambda row: row.version.module.position)


def evidence_of(academy: Academy, person: Person, module: Module) -> Evidence:
    place = places(academy, [person.pk], [module.pk])[person.pk, module.pk]
    version = _versions([place.version])[place.version]
    here = {"academy": academy, "apprentice": person, "module_version__module": module}
    assessments = (
        Assessment.objects.filter(
            **here, state=Assessment.State.SUBMITTED, kind=Assessment.Kind.FIRST
        )
        .for_list()
        .order_by("-started_at")
    )
    return Evidence(
        person=person,
        version=version,
        place=place,
        conditions=conditions(place.evidence),
        assessments=list(assessments),
        sessions=list(
            PracticeSession.objects.filter(**here)
            .counted()
            .select_related("supervisor", "confirmation")
            .prefetch_related("units", "strand_checks")[:20]
        ),
        sheets=list(
            AnswerSheet.objects.filter(
                academy=academy,
                apprentice=person,
                paper__module_version__module=module,
                submitted_at__isnull=False,
            )
            .select_related("paper")
            .prefetch_related("remarks")
        ),
        sign_offs=list(
            SignOff.objects.filter(**here)
            .select_related("assessor", "module_version")
            .prefetch_related("verifications__verifier")
        ),
        plans=list(
            ActionPlan.objects.filter(**here).select_related("educator").order_by("-made_at")
        ),
        booking=Booking.objects.filter(
            **here, state__in=[Booking.State.ASKED, Booking.State.BOOKED]
        )
        .select_related("assessor")
        .first(),
        faults=list(
            FaultMark.objects.filter(assessment__in=assessments)
            .select_related("fault", "assessment")
            .order_by("assessment__started_at", "number")[:20]
        ),
    )


def _versions(ids: Iterable[int]) -> dict[int, ModuleVersion]:
    return ModuleVersion.objects.select_related("module").in_bulk(list(ids))
