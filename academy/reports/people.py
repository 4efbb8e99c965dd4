"""One apprentice: every module at a glance, and the whole evidence in one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.models import ActionPlan, Assessment, Booking, FaultMark, SignOff
from academy.assessment.queries import Place, places
from academy.assessment.results import Condition, Standing, conditions
from academy.curriculum.models import Module, ModuleVersion
from academy.exercises.models import AnswerSheet
from academy.practice.models import PracticeSession
from academy.practice.queries import zones_practised
from academy.reports.heads import assessed_sheet, lost_by_zone, practised_sheet

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from academy.craft.head.zones import Zone
    from academy.people.models import Academy, Person
    from academy.web.heads import HeadSheet


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
    lost: dict[Zone, float]
    zones_practised: tuple[dict[Zone, int], int]

    @property
    def may_be_asked_for(self) -> bool:
        """Whether an assessment is the next step: practised enough, needs met, none booked."""
        waits = self.place.standing in (Standing.READY, Standing.NOT_YET, Standing.EXPIRED)
        ready = self.place.progress.met and not self.place.open_needs
        return waits and ready and self.booking is None

    @property
    def run_words(self) -> str:
        """The honest sentence beside the count of decided heads; empty without one."""
        return self.place.evidence.pass_rate

    @property
    def assessed(self) -> HeadSheet | None:
        """Marks lost and faults of every head on one sheet."""
        return assessed_sheet(self.lost, self.faults)

    @property
    def practised(self) -> HeadSheet | None:
        """The zones worked on in practice."""
        return practised_sheet(*self.zones_practised)


def modules_of(academy: Academy, person: Person) -> list[ModuleRow]:
    """Where the person stands in every published module, in the order of the list."""
    found = places(academy, [person.pk])
    versions = _versions(place.version for place in found.values())
    rows = [ModuleRow(versions[place.version], place) for place in found.values()]
    return sorted(rows, key=lambda row: row.version.module.position)


def evidence_of(
    academy: Academy,
    person: Person,
    module: Module,
    *,
    withhold: bool = False,
    kept: Collection[int] = (),
) -> Evidence:
    """All evidence; with `withhold` nothing of a head's marking that is not decided yet.

    `kept` are heads of which the reader sees nothing at all: they may have to mark them blind.
    """
    place = places(academy, [person.pk], [module.pk])[person.pk, module.pk]
    version = _versions([place.version])[place.version]
    here = {"academy": academy, "apprentice": person, "module_version__module": module}
    assessments = (
        Assessment.objects.filter(
            **here, state=Assessment.State.SUBMITTED, kind=Assessment.Kind.FIRST
        )
        .exclude(pk__in=kept)
        .for_list()
        .order_by("-started_at")
    )
    judged = list(assessments)
    told = [
        head for head in judged if not head.withdrawn and not (withhold and head.shown == "second")
    ]
    return Evidence(
        person=person,
        version=version,
        place=place,
        conditions=conditions(place.evidence),
        assessments=judged,
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
            FaultMark.objects.filter(assessment__in=told)
            .select_related("fault", "assessment")
            .order_by("assessment__started_at", "number")[:20]
        ),
        lost=lost_by_zone(told),
        zones_practised=zones_practised(person, module),
    )


def _versions(ids: Iterable[int]) -> dict[int, ModuleVersion]:
    return ModuleVersion.objects.select_related("module").in_bulk(list(ids))
