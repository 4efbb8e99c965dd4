"""Nobody decides on their own work: samples, feedback, reference heads and action plans.

By constraint, by service and by URL; docs/assessment.md lists every step with its tests.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    ActionPlan,
    Assessment,
    FeedbackRating,
    PlanClosing,
    SampledDecision,
    SamplePlan,
    SignOff,
)
from academy.assessment.services.plans import close_action_plan, write_action_plan
from academy.assessment.services.sampling import (
    Batch,
    Promise,
    close_sample_plan,
    open_sample_plan,
)
from academy.assessment.services.signing import verify
from academy.assessment.services.standardising import (
    keep_reference,
    places_of,
    publish_reference,
    write_reference,
)
from academy.people.models import Role
from tests.site.making import signed_off
from tests.site.refusals import refused_by_the_database

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]
TEXT = "Six nape panels at 3 mm."


# Samples of sign-offs

PROMISE = Promise(rate=Decimal("0.5"), confidence=Decimal("0.8"))


def this_month() -> Batch:
    today = timezone.localdate()
    return Batch("This month", today - timedelta(days=30), today)


@pytest.fixture
def four(
    version: ModuleVersion, assessor: Person, make_member: Callable[..., Person]
) -> list[SignOff]:
    return [signed_off(version, assessor, make_member(Role.APPRENTICE)) for _ in range(4)]


@pytest.fixture
def looked_through(four: list[SignOff], verifier: Person) -> SamplePlan:
    """A batch in which all that was drawn is upheld, so that it can be closed."""
    plan = open_sample_plan(
        academy=four[0].academy, by=verifier, batch=this_month(), promise=PROMISE, seed=7
    )
    for row in plan.decisions.exclude(why=""):
        verify(sign_off=row.sign_off, verifier=verifier, result="upheld")
    return plan


def test_the_database_takes_no_sign_off_into_a_sample_that_its_signer_draws(
    sign_off: SignOff, assessor: Person, apprentice: Person
) -> None:
    for person in (assessor, apprentice):
        with refused_by_the_database():
            plan = SamplePlan.objects.create(
                academy=sign_off.academy,
                name="Mine",
                first_day=timezone.localdate(),
                last_day=timezone.localdate(),
                seed=1,
                made_by=person,
            )
            SampledDecision.objects.create(plan=plan, sign_off=sign_off)


def test_nobody_draws_a_sample_in_which_their_own_decisions_lie(
    four: list[SignOff], assessor: Person, verifier: Person, also: Callable[..., None]
) -> None:
    also(assessor, Role.VERIFIER)
    draw = partial(
        open_sample_plan, academy=four[0].academy, batch=this_month(), promise=PROMISE, seed=7
    )
    with pytest.raises(AssessmentError, match="Another verifier draws it"):
        draw(by=assessor)
    assert draw(by=verifier).made_by == verifier


def test_no_address_draws_a_sample_in_which_the_readers_decisions_lie(
    four: list[SignOff],
    assessor: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(assessor, Role.VERIFIER)
    today = timezone.localdate()
    data = {
        "name": "Mine",
        "first_day": f"{today:%d %b %Y}",
        "last_day": f"{today:%d %b %Y}",
        "rate": "50",
        "confidence": "80",
    }
    page = signed_in(assessor).post(url("sample-new"), data).content.decode()
    assert "Another verifier draws it." in page
    assert not SamplePlan.objects.exists()


def test_nobody_closes_a_batch_in_which_their_own_decisions_lie(
    looked_through: SamplePlan, assessor: Person, verifier: Person, also: Callable[..., None]
) -> None:
    also(assessor, Role.VERIFIER)
    with pytest.raises(AssessmentError, match="Another verifier closes it"):
        close_sample_plan(plan=looked_through, by=assessor)
    assert close_sample_plan(plan=looked_through, by=verifier).closed_at is not None


def test_no_address_closes_a_batch_in_which_the_readers_decisions_lie(
    looked_through: SamplePlan,
    assessor: Person,
    verifier: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(assessor, Role.VERIFIER)
    at, page = (url(f"sample-{what}", token=looked_through.token) for what in ("close", "detail"))
    own = signed_in(assessor)
    assert own.post(at).status_code == 403
    shown = own.get(page).content.decode()
    assert "You had a part in a decision of this batch" in shown
    assert at not in shown
    assert at in signed_in(verifier).get(page).content.decode()
    looked_through.refresh_from_db()
    assert looked_through.closed_at is None


# Rating feedback, marking reference heads


def test_the_database_lets_nobody_rate_a_text_of_their_own(
    submitted: Assessment, assessor: Person
) -> None:
    with refused_by_the_database():
        FeedbackRating.objects.create(
            feedback=submitted.feedback.get(), educator=assessor, rating=4
        )


def test_no_address_rates_a_text_of_ones_own(
    submitted: Assessment,
    assessor: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    also(assessor, Role.EDUCATOR)
    data = {"text": str(submitted.feedback.get().pk), "rating": "4"}
    assert signed_in(assessor).post(url("feedback-rate"), data).status_code == 404
    assert not FeedbackRating.objects.exists()


def test_the_database_lets_nobody_mark_a_reference_head_they_wrote(
    version: ModuleVersion, educator: Person
) -> None:
    """Its head is that of the educator who wrote it."""
    with pytest.raises(DatabaseError, match="not_oneself"), transaction.atomic():
        Assessment.objects.create(
            academy=version.academy,
            apprentice=educator,
            assessor=educator,
            module_version=version,
            kind=Assessment.Kind.STANDARDISATION,
        )


def test_no_address_marks_a_reference_head_by_who_wrote_it(
    version: ModuleVersion,
    educator: Person,
    also: Callable[..., None],
    signed_in: SignedIn,
    url: Url,
) -> None:
    row = write_reference(academy=version.academy, by=educator, version=version, name="Thin")
    levels = {(one.code, zone): (3, "Even.") for one, zone in places_of(version)}
    keep_reference(reference=row, by=educator, levels=levels, faults=[])
    publish_reference(reference=row, by=educator)
    also(educator, Role.ASSESSOR)
    signed_in(educator).post(url("reference-start", token=row.token))
    assert not Assessment.objects.exists()


# Action plans


@pytest.fixture
def learning_educator(educator: Person, also: Callable[..., None]) -> Person:
    """An educator who is an apprentice too."""
    also(educator, Role.APPRENTICE)
    return educator


@pytest.fixture
def own_plan(
    version: ModuleVersion, learning_educator: Person, make_member: Callable[..., Person]
) -> ActionPlan:
    """A colleague's plan for the educator who is an apprentice too."""
    return write_action_plan(
        academy=version.academy,
        educator=make_member(Role.EDUCATOR),
        apprentice=learning_educator,
        version=version,
        text=TEXT,
        due_on=timezone.localdate(),
    )


def test_the_database_lets_nobody_write_or_close_an_action_plan_of_their_own(
    version: ModuleVersion, learning_educator: Person, own_plan: ActionPlan
) -> None:
    with refused_by_the_database():
        ActionPlan.objects.create(
            academy=version.academy,
            educator=learning_educator,
            apprentice=learning_educator,
            module_version=version,
            text=TEXT,
            due_on=timezone.localdate(),
        )
    with refused_by_the_database():
        PlanClosing.objects.create(plan=own_plan, educator=learning_educator, came_of="Done.")


def test_nobody_writes_or_closes_an_action_plan_of_their_own(
    version: ModuleVersion, learning_educator: Person, own_plan: ActionPlan
) -> None:
    with pytest.raises(AssessmentError, match="Nobody writes"):
        write_action_plan(
            academy=version.academy,
            educator=learning_educator,
            apprentice=learning_educator,
            version=version,
            text=TEXT,
            due_on=timezone.localdate(),
        )
    with pytest.raises(AssessmentError, match="Nobody closes"):
        close_action_plan(plan=own_plan, educator=learning_educator, came_of="Done.")


def test_no_address_writes_or_closes_an_action_plan_of_ones_own(
    version: ModuleVersion,
    learning_educator: Person,
    own_plan: ActionPlan,
    signed_in: SignedIn,
    url: Url,
) -> None:
    desk = signed_in(learning_educator)
    at = url("plan-close", token=own_plan.token)
    assert desk.post(at, {"came_of": "Done."}).status_code == 403
    assert at not in desk.get(url("plan-detail", token=own_plan.token)).content.decode()
    data = {
        "apprentice": learning_educator.token,
        "module": version.module.token,
        "text": TEXT,
        "due_on": f"{timezone.localdate():%d %b %Y}",
    }
    desk.post(url("plan-new"), data)
    assert ActionPlan.objects.get() == own_plan
    assert not PlanClosing.objects.exists()
