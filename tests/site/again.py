"""Heads after a "not yet": one apprentice in one module, with a clock that is put forward."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from django.utils import timezone

from academy.assessment.again import after_not_yet
from academy.assessment.models import Assessment, Reassessment
from academy.assessment.services.plans import write_action_plan
from academy.assessment.services.scoring import set_level, set_overall, start_assessment
from academy.assessment.services.submitting import submit
from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    CriterionContent,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
)
from academy.practice.services import Sitting, log_session
from academy.practice.targets import Done
from academy.web.tokens import new_token
from tests.site.making import LEVELS, full_boxes, publish_content

if TYPE_CHECKING:
    from time_machine import Traveller

    from academy.assessment.models import ActionPlan
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

WEAK = {("V1", "nape"): 1}


def coverage_module(academy: Academy, educator: Person) -> ModuleVersion:
    """Coverage and saturation by zone (crown, nape), order and mix for the head; mix must pass."""
    criteria = (
        CriterionContent("V1", "Coverage", Scope.ZONES, LEVELS, weight=2),
        CriterionContent("V2", "Order", Scope.HEAD, LEVELS),
        CriterionContent("V3", "Saturation", Scope.ZONES, LEVELS),
        CriterionContent(
            "V4", "Mix", Scope.HEAD, LEVELS, must_pass=True, must_pass_reason="strength"
        ),
    )
    content = ModuleContent(
        key="white",
        title="White-hair coverage",
        purpose="Cover white hair fully.",
        heads_required=2,
        steps=(StepContent("Begin", "Lay everything out."),),
        criteria=criteria,
        judged_zones=(Zone.CROWN, Zone.NAPE),
        sheets=(SheetContent(SheetKind.ZONES),),
        targets=(TargetLine(1, PracticeUnit.HEADS),),
    )
    return publish_content(academy, educator, content)


class Chair:
    """One apprentice in one module, with a clock that is put forward by days."""

    def __init__(self, version: ModuleVersion, apprentice: Person, clock: Traveller) -> None:
        self.version, self.apprentice, self.clock = version, apprentice, clock

    def wait(self, days: float) -> None:
        self.clock.move_to(timezone.now() + timedelta(days=days))

    def begin(self, by: Person, *chosen: str) -> Assessment:
        return start_assessment(
            academy=self.version.academy,
            assessor=by,
            apprentice=self.apprentice,
            version=self.version,
            chosen=chosen,
        )

    def mark(self, head: Assessment, levels: dict[tuple[str, str], int]) -> Assessment:
        """Level 3 everywhere in its scope but for what is given; rated 3."""
        row = Reassessment.objects.filter(assessment=head.second_of or head).first()
        scope = row.criteria if row else []
        for criterion in self.version.criteria.all():
            if scope and criterion.code not in scope:
                continue
            for zone in self.version.judged_zones if criterion.scope == "zones" else [""]:
                set_level(
                    assessment=head,
                    by=head.assessor,
                    criterion=criterion,
                    zone=zone,
                    level=levels.get((criterion.code, zone), 3),
                )
        set_overall(assessment=head, by=head.assessor, rating=3)
        submit(assessment=head, by=head.assessor, points=[full_boxes()])
        head.refresh_from_db()
        return head

    def assessed(
        self, by: Person, levels: dict[tuple[str, str], int] | None = None, *chosen: str
    ) -> Assessment:
        return self.mark(self.begin(by, *chosen), levels or {})

    def practise(
        self,
        heads: int = 2,
        criteria: tuple[str, ...] = ("V1",),
        zones: tuple[str, ...] = ("nape",),
    ) -> None:
        self.wait(0.01)
        log_session(
            academy=self.version.academy,
            apprentice=self.apprentice,
            version=self.version,
            sitting=Sitting(
                started_at=timezone.now(),
                minutes=60,
                units=[Done(PracticeUnit.HEADS, heads)],
                zones=list(zones),
                criteria=list(criteria),
            ),
            client_key=new_token(),
        )
        self.wait(0.01)

    def ready(self, *criteria: str) -> None:
        """Practised and waited as long as the rules say."""
        self.practise(criteria=criteria or ("V1", "V2", "V3", "V4"), zones=("crown", "nape"))
        self.wait(7)

    def after(self) -> Any:
        return after_not_yet(self.version.academy, self.apprentice, self.version)

    def plan(self, educator: Person, *, whole: bool = False) -> ActionPlan:
        return write_action_plan(
            academy=self.version.academy,
            educator=educator,
            apprentice=self.apprentice,
            version=self.version,
            text="Six nape panels at 3 mm, lowest row first.",
            due_on=timezone.localdate() + timedelta(days=9),
            whole_module=whole,
        )
