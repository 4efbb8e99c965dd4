"""What is on record about many apprentices, brought in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from django.db.models import Max
from django.utils import timezone

from academy.assessment.boxes import NO_BOXES, Boxes, fullest
from academy.assessment.models import (
    Assessment,
    Feedback,
    Ruling,
    SecondAsked,
    SignOff,
    Verification,
)
from academy.assessment.results import Head, Signed
from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion, Prerequisite
from academy.exercises.models import AnswerSheet, Paper
from academy.exercises.queries.standing import passed_now
from academy.people.models import CohortPlace
from academy.practice.models import PracticeSession
from academy.practice.queries import COUNTS, progress_of_many

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from academy.people.models import Academy
    from academy.practice.targets import Progress

Pair = tuple[int, int]


@dataclass
class Facts:
    """What the queries bring, by (apprentice id, version id) or (apprentice id, module id)."""

    versions: dict[int, ModuleVersion]
    practised: dict[Pair, date]
    progress: dict[Pair, Progress]
    heads: dict[Pair, list[Head]]
    signed: dict[Pair, Signed]
    needs: dict[int, list[int]]
    papers: dict[Pair, list[str]]
    evidence_months: int
    boxes_needed: int
    days_needed: int
    today: date
    published: dict[int, int] = field(default_factory=dict)


def facts_of(
    academy: Academy, apprentices: Sequence[int], modules: Sequence[int] | None = None
) -> Facts:
    """About the modules asked for, or all; what is signed is there for all, as needs ask for it."""
    today = timezone.localdate()
    editions = ModuleVersion.objects.filter(academy=academy)
    if modules is not None:
        editions = editions.filter(module__in=modules)
    versions = {
        version.pk: version for version in editions.exclude(state=ModuleVersion.State.DRAFT)
    }
    needs: dict[int, list[int]] = defaultdict(list)
    for version, needed in Prerequisite.objects.filter(version__in=versions).values_list(
        "version", "needs"
    ):
        needs[version].append(needed)
    rules = rules_today(academy)
    return Facts(
        versions=versions,
        practised=_practised(academy, apprentices),
        progress=progress_of_many(apprentices, list(versions)),
        heads=heads_of_many(academy, apprentices, versions),
        signed=_signed(academy, apprentices),
        needs=needs,
        papers=_papers_open(academy, apprentices),
        evidence_months=int(rules.number("judging", what="evidence_months")),
        boxes_needed=int(rules.number("judging", what="feedback_boxes")),
        days_needed=int(rules.number("judging", what="head_days")),
        today=today,
        published={
            version.module_id: version.pk
            for version in versions.values()
            if version.state == ModuleVersion.State.PUBLISHED
        },
    )


def _practised(academy: Academy, apprentices: Sequence[int]) -> dict[Pair, date]:
    rows = (
        PracticeSession.objects.filter(COUNTS, academy=academy, apprentice__in=apprentices)
        .values_list("apprentice", "module_version")
        .annotate(last=Max("started_at"))
        .order_by()
    )
    return {(person, version): timezone.localdate(last) for person, version, last in rows}


def heads_of_many(
    academy: Academy, apprentices: Iterable[int], versions: Iterable[int]
) -> dict[Pair, list[Head]]:
    """First marks that count, with their second mark, ruling and feedback. Five queries.

    A head on which an overturned sign-off rests is no evidence any more.
    """
    overturned = Assessment.objects.filter(
        sign_offs__verifications__result=Verification.Result.OVERTURNED
    )
    rows = list(
        Assessment.objects.filter(
            academy=academy,
            apprentice__in=list(apprentices),
            module_version__in=list(versions),
        )
        .counting()
        .exclude(kind=Assessment.Kind.STANDARDISATION)
        .exclude(pk__in=overturned.values("pk"))
        .select_related("outcome")
        .order_by("submitted_at")
    )
    seconds = {row.second_of_id: row for row in rows if row.second_of_id}
    asked = set(
        SecondAsked.objects.filter(
            assessment__in=[row.pk for row in rows], called_off__isnull=True
        ).values_list("assessment", flat=True)
    )
    boxes = _boxes(row.pk for row in rows)
    rulings = dict(
        Ruling.objects.filter(first__in=[row.pk for row in rows]).values_list("first", "decision")
    )
    heads: dict[Pair, list[Head]] = defaultdict(list)
    for row in rows:
        if row.kind == Assessment.Kind.FIRST and row.submitted_at is not None:
            second, ruling = seconds.get(row.pk), rulings.get(row.pk, "")
            ruled = second if ruling == Ruling.Decision.SECOND else None
            # Of two marks that differ, the feedback counts of the one that stands.
            filled = boxes.get((ruled or row).pk, NO_BOXES)
            heads[row.apprentice_id, row.module_version_id].append(
                Head(
                    id=row.pk,
                    assessor=row.assessor_id,
                    day=timezone.localdate(row.started_at),
                    first=row.outcome.by_marks,
                    second_needed=row.outcome.second_needed or row.pk in asked,
                    second=second.outcome.by_marks if second else "",
                    ruling=ruling,
                    feedback_boxes=filled.count,
                    boxes_open=tuple(filled.open_words),
                )
            )
    return heads


def _boxes(assessments: Iterable[int]) -> dict[int, Boxes]:
    """The point of feedback with the most boxes filled, by assessment."""
    points: dict[int, list[Boxes]] = defaultdict(list)
    fields = list(Boxes.__dataclass_fields__)
    rows = Feedback.objects.filter(
        assessment__in=list(assessments), corrected_by__isnull=True
    ).values("assessment_id", *fields)
    for row in rows:
        points[row.pop("assessment_id")].append(Boxes(**row))
    return {assessment: fullest(given) for assessment, given in points.items()}


def _signed(academy: Academy, apprentices: Sequence[int]) -> dict[Pair, Signed]:
    rows = SignOff.objects.filter(academy=academy, apprentice__in=apprentices).standing()
    return {
        (row.apprentice_id, row.module_version.module_id): Signed(
            id=row.pk,
            in_date_until=row.in_date_until,
            signed_at=row.signed_at,
            clear=row.verified,
        )
        for row in rows.select_related("module_version")
    }


def _papers_open(academy: Academy, apprentices: Sequence[int]) -> dict[Pair, list[str]]:
    """Titles of papers linked to a version and set for an apprentice's cohort, not passed yet."""
    places = set(
        CohortPlace.objects.current().filter(person__in=apprentices).values_list("cohort", "person")
    )
    papers = list(
        Paper.objects.filter(
            academy=academy, module_version__isnull=False, withdrawn_at__isnull=True
        ).values_list("pk", "cohort", "module_version", "title")
    )
    passed = set(
        passed_now(
            AnswerSheet.objects.filter(
                apprentice__in=apprentices, paper__in=[paper for paper, *_ in papers]
            )
        ).values_list("paper", "apprentice")
    )
    found: dict[Pair, list[str]] = defaultdict(list)
    for paper, cohort, version, title in papers:
        for place_cohort, person in places:
            if place_cohort == cohort and (paper, person) not in passed:
                found[person, version].append(title)
    return found
