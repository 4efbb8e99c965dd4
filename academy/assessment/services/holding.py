"""Rows that services hold until their transaction ends, so that others wait and look afresh.

Whoever holds several takes them in this order: the academy, the sample plan, the sign-off; a head
is held alone. The record's chain comes last of all (`record`). None of these locks stops a row
elsewhere that only names what is held, so nobody waits in a ring. On SQLite there is one writer at
a time anyway.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, SampledDecision, SamplePlan, SignOff
from academy.people.models import Academy

if TYPE_CHECKING:
    from django.db.models import Model, QuerySet


def hold_academy(pk: int) -> None:
    """Batches, certificates and what ends them are decided one after the other."""
    _hold(Academy.objects.filter(pk=pk))


def hold_plan_of(sign_off: SignOff) -> None:
    """The batch this one lies in, if any, so that it is not closed meanwhile."""
    batch = SampledDecision.objects.filter(sign_off=sign_off).order_by().values("plan")
    _hold(SamplePlan.objects.filter(pk__in=batch))


def hold_plan(plan: SamplePlan) -> SamplePlan:
    """A batch as it is stored now."""
    _hold(SamplePlan.objects.filter(pk=plan.pk))
    return SamplePlan.objects.get(pk=plan.pk)


def hold_sign_off(pk: int) -> None:
    """What a verifier makes of it is decided one after the other."""
    _hold(SignOff.objects.filter(pk=pk))


def hold_head(head: Assessment) -> Assessment:
    """A head as it is stored now; what is said of it is decided one after the other.

    Raises `AssessmentError` where its draft was discarded meanwhile.
    """
    _hold(Assessment.objects.filter(pk=head.pk))
    found = Assessment.objects.filter(pk=head.pk).first()
    if found is None:
        raise AssessmentError("This draft was discarded meanwhile.")
    return found


def _hold(rows: QuerySet[Model]) -> None:
    list(rows.order_by("pk").select_for_update(no_key=True).values_list("pk"))
