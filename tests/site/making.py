"""Short ways through the services to what a test starts from: a module, a head, a sign-off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.boxes import Boxes
from academy.assessment.models import Assessment, SignOff
from academy.assessment.services.ruling import rule
from academy.assessment.services.sampling import Batch, Promise, open_sample_plan
from academy.assessment.services.scoring import set_level, set_overall, start_assessment
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.signing import Ticks, sign_off, verify
from academy.assessment.services.submitting import submit
from academy.craft.head.zones import Zone
from academy.craft.judging.marking import SecondCause
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
from academy.curriculum.services import make_award, publish_version, start_module, write_draft
from academy.people.models import Role
from tests.site.factories import CohortFactory, CohortPlaceFactory, member

if TYPE_CHECKING:
    from academy.curriculum.models import Award, ModuleVersion
    from academy.people.models import Academy, Person

LAST = 69  # of the seventy decisions that `sixty_decisions` makes, the first is 0
RULED = "The photo of the nape shows no bare root."
ALL_TICKS = Ticks(valid=True, sufficient=True, authentic=True, current=True)
LEVELS = ("not done", "wrong", "nearly right", "right, unaided", "right, even and calm")


def module_content(
    key: str, *, zones: bool = False, target: int = 0, heads: int = 1
) -> ModuleContent:
    """A small publishable module: one must-pass, and a criterion in two zones if asked."""
    criteria = [
        CriterionContent(
            "A1", "gloves on", Scope.HEAD, LEVELS, must_pass=True, must_pass_reason="skin"
        )
    ]
    if zones:
        criteria.append(CriterionContent("A2", "coverage", Scope.ZONES, LEVELS, weight=2))
    return ModuleContent(
        key=key,
        title=f"The {key} module",
        purpose="To be taught and judged in a test.",
        heads_required=heads,
        steps=(StepContent("Begin", "Lay everything out."),),
        criteria=tuple(criteria),
        judged_zones=(Zone.CROWN, Zone.NAPE) if zones else (),
        sheets=(SheetContent(SheetKind.ZONES),) if zones else (),
        targets=(TargetLine(target, PracticeUnit.HEADS),) if target else (),
    )


def publish(
    academy: Academy,
    educator: Person,
    key: str,
    *,
    zones: bool = False,
    target: int = 0,
    heads: int = 1,
) -> ModuleVersion:
    content = module_content(key, zones=zones, target=target, heads=heads)
    return publish_content(academy, educator, content)


def publish_content(academy: Academy, educator: Person, content: ModuleContent) -> ModuleVersion:
    draft = start_module(academy=academy, by=educator, key=content.key, title=content.title)
    write_draft(version=draft, content=content, by=educator)
    return publish_version(version=draft, by=educator)


def award_of(
    academy: Academy, educator: Person, *versions: ModuleVersion, two_assessors: bool = False
) -> Award:
    return make_award(
        academy=academy,
        by=educator,
        key="test-award",
        title="The test award",
        modules=[version.module.key for version in versions],
        months_valid=24,
        mannequin_counts=True,
        two_assessors=two_assessors,
    )


def full_boxes(day: date | None = None) -> Boxes:
    """Feedback with all four boxes filled."""
    return Boxes(
        seen_zone="head",
        seen_what="gloves changed between tasks",
        against_criterion="A1",
        against_level=3,
        why="laid out within reach",
        next_action="the same on a full head",
        next_number=1,
        next_on=day or timezone.localdate() + timedelta(days=14),
    )


def draft_head(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    return start_assessment(
        academy=version.academy, assessor=assessor, apprentice=apprentice, version=version
    )


def mark_all(assessment: Assessment, *, level: int, overall: int) -> None:
    """One level everywhere, and the overall rating."""
    version, by = assessment.module_version, assessment.assessor
    for criterion in version.criteria.all():
        zones = version.judged_zones if criterion.scope == "zones" else [""]
        for zone in zones:
            set_level(assessment=assessment, by=by, criterion=criterion, zone=zone, level=level)
    set_overall(assessment=assessment, by=by, rating=overall)


def judged_head(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    *,
    level: int = 4,
    overall: int = 4,
    boxes: Boxes | None = None,
    drawn: bool = False,
) -> Assessment:
    """A submitted head with one level everywhere; where `drawn` the sample drew it."""
    assessment = draft_head(version, assessor, apprentice)
    mark_all(assessment, level=level, overall=overall)
    causes = [SecondCause.SAMPLE] if drawn else []
    submit(assessment=assessment, by=assessor, points=[boxes or full_boxes()], asked_for=causes)
    return assessment


def thin_head(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Competent, with two of four boxes of feedback."""
    boxes = replace(full_boxes(), why="", next_on=None)
    return judged_head(version, assessor, apprentice, boxes=boxes)


def second_mark(first: Assessment, assessor: Person, *, level: int, overall: int = 3) -> Assessment:
    """A colleague's submitted mark of the same head, one level everywhere."""
    assessment = start_second_mark(first=first, assessor=assessor)
    mark_all(assessment, level=level, overall=overall)
    submit(assessment=assessment, by=assessor, points=[full_boxes()])
    return assessment


def ruled_second(
    first: Assessment,
    colleague: Person,
    verifier: Person,
    *,
    decision: str = "second",
    boxes: Boxes | None = None,
) -> Assessment:
    """The first mark after a colleague's, 4 everywhere, and the verifier's ruling on both."""
    look = start_second_mark(first=first, assessor=colleague)
    mark_all(look, level=4, overall=5)
    submit(assessment=look, by=colleague, points=[boxes or full_boxes()])
    rule(first=first, second=look, verifier=verifier, decision=decision, reason=RULED)
    return Assessment.objects.for_result().get(pk=first.pk)


def signed_off(version: ModuleVersion, assessor: Person, apprentice: Person) -> SignOff:
    """A competent head, and the sign-off that rests on it."""
    judged_head(version, assessor, apprentice)
    return sign_on(version, assessor, apprentice)


def sign_on(
    version: ModuleVersion, assessor: Person, apprentice: Person, ticks: Ticks = ALL_TICKS
) -> SignOff:
    """The sign-off that rests on the heads that are there."""
    return sign_off(
        academy=version.academy,
        assessor=assessor,
        apprentice=apprentice,
        version=version,
        ticks=ticks,
        method=SignOff.Method.PASSWORD,
    )


def upheld(sign_off_row: SignOff, verifier: Person) -> SignOff:
    verify(sign_off=sign_off_row, verifier=verifier, result="upheld")
    return sign_off_row


def sixty_decisions(academy: Academy, educator: Person, verifier: Person) -> list[SignOff]:
    """Sixty sign-offs of two assessors in two modules, none of them a must.

    Two cohorts share them but for the last, which is the only one of a third. The first five of
    each assessor were upheld before and lie in a batch of their own.
    """
    versions = [publish(academy, educator, key) for key in ("gloves", "apron")]
    assessors = [member(academy, Role.ASSESSOR, name=name) for name in ("Ada Finch", "Bo Lark")]
    cohorts = [CohortFactory(academy=academy, name=name) for name in ("Heron", "Curlew", "Bittern")]

    def signed(number: int) -> SignOff:
        apprentice = member(academy, Role.APPRENTICE)
        cohort = cohorts[2 if number == LAST else number % 2]
        CohortPlaceFactory(cohort=cohort, person=apprentice)
        return signed_off(versions[number // 2 % 2], assessors[number % 2], apprentice)

    early = [signed(number) for number in range(10)]
    today = timezone.localdate()
    open_sample_plan(
        academy=academy,
        by=verifier,
        batch=Batch("First of all", today, today),
        promise=Promise(rate=Decimal("0.1"), confidence=Decimal("0.95")),
        seed=1,
        new_assessors=assessors,
    )
    for row in early:
        upheld(row, verifier)
    return [signed(number) for number in range(10, LAST + 1)]
