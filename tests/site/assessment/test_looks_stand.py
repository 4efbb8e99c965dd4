"""What was asked, given, ruled, named, answered, agreed and rated stands in the database itself."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, connection, models, transaction
from django.utils import timezone

from academy.assessment.models import (
    ActionAnswer,
    AddedDecision,
    FeedbackRating,
    HeadDraw,
    HeadSamplePlan,
    ReferenceFault,
    ReferenceHead,
    ReferenceLevel,
    ReferenceMarking,
    Ruling,
    SampledDecision,
    SecondAsked,
    SecondAssignment,
    VerifierNamed,
)
from academy.assessment.services.head_sample import plan_head_sample
from academy.assessment.services.ruling import rule
from academy.assessment.services.sampling import Batch, Promise, open_sample_plan
from academy.assessment.services.second import ask_for_second_mark
from academy.assessment.services.signing import verify
from academy.assessment.services.standardising import (
    AgreedFault,
    keep_reference,
    places_of,
    publish_reference,
    rate_feedback,
    start_reference,
    write_reference,
)
from academy.assessment.services.submitting import submit
from academy.assessment.services.verifying import answer_action, name_verifier
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.people.models import Role
from tests.site.making import draft_head, full_boxes, mark_all, second_mark, signed_off

if TYPE_CHECKING:
    from academy.assessment.models import Assessment
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

STANDING: tuple[type[models.Model], ...] = (
    ActionAnswer,
    AddedDecision,
    FeedbackRating,
    HeadDraw,
    HeadSamplePlan,
    ReferenceFault,
    ReferenceHead,
    ReferenceLevel,
    ReferenceMarking,
    Ruling,
    SecondAsked,
    SecondAssignment,
    VerifierNamed,
)


def ruled_head(
    version: ModuleVersion, assessor: Person, apprentice: Person, colleague: Person, by: Person
) -> Assessment:
    """Drawn or not, asked for by its assessor, marked twice and ruled on."""
    head = draft_head(version, assessor, apprentice)
    ask_for_second_mark(assessment=head, by=assessor, reason="The light changed.")
    mark_all(head, level=4, overall=5)
    submit(assessment=head, by=assessor, points=[full_boxes()])
    head.refresh_from_db()
    second = second_mark(head, colleague, level=1, overall=1)
    rule(first=head, second=second, verifier=by, decision="first", reason="The photo.")
    return head


@pytest.fixture
def _one_of_each(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
    educator: Person,
    verifier: Person,
    manager: Person,
    make_member: Callable[..., Person],
) -> None:
    academy, today = version.academy, timezone.localdate()
    plan_head_sample(academy=academy, by=verifier, percent=Decimal(15), seed=7)
    head = ruled_head(version, assessor, apprentice, colleague, verifier)
    rate_feedback(feedback=head.feedback.get(), by=educator, rating=3)
    row = signed_off(version, assessor, make_member(Role.APPRENTICE))
    batch = Batch("Today", today - timedelta(days=1), today)
    promise = Promise(rate=Decimal("0.1"), confidence=Decimal("0.9"))
    open_sample_plan(academy=academy, by=verifier, batch=batch, promise=promise, seed=7)
    name_verifier(sign_off=row, verifier=verifier, by=manager, reason="In turn.")
    action = verify(
        sign_off=row, verifier=verifier, result="action_needed", text="Add it.", due_on=today
    )
    answer_action(action=action, by=assessor, text="Added.")
    AddedDecision.objects.create(sampled=SampledDecision.objects.get(), because=action)
    reference = write_reference(academy=academy, by=educator, version=version, name="Thin")
    levels = {(one.code, zone): (3, "Even.") for one, zone in places_of(version)}
    faults = [AgreedFault(zone_centre(Zone.NAPE), common="gap")]
    keep_reference(reference=reference, by=educator, levels=levels, faults=faults)
    reference = publish_reference(reference=reference, by=educator)
    marked = start_reference(reference=reference, assessor=assessor)
    mark_all(marked, level=3, overall=3)
    submit(assessment=marked, by=assessor, points=[full_boxes()])


@pytest.mark.usefixtures("_one_of_each")
def test_none_of_these_rows_is_changed_or_deleted() -> None:
    loose = []
    for model in STANDING:
        table = model._meta.db_table
        assert model._default_manager.exists(), table
        for statement in (f"UPDATE {table} SET id = id", f"DELETE FROM {table}"):  # noqa: S608
            try:
                with transaction.atomic(), connection.cursor() as cursor:
                    cursor.execute(statement)
            except DatabaseError as refused:
                assert "stands" in str(refused)  # noqa: PT017
            else:
                loose.append(statement)
    assert loose == []
