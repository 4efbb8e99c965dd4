"""A batch of sign-offs in which the sample was looked at, and not the rest."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.services.sampling import Batch, Promise, looked_at, open_sample_plan
from academy.people.models import Role
from tests.site.making import signed_off, upheld

if TYPE_CHECKING:
    from academy.assessment.models import SamplePlan
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person


def looked_at_batch(
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    make_member: Callable[..., Person],
) -> SamplePlan:
    """Four sign-offs, of which those drawn were upheld and the others not looked at."""
    for _ in range(4):
        signed_off(version, assessor, make_member(Role.APPRENTICE))
    day = timezone.localdate()
    plan = open_sample_plan(
        academy=version.academy,
        by=verifier,
        batch=Batch("Autumn", day, day),
        promise=Promise(rate=Decimal("0.5"), confidence=Decimal("0.8")),
        seed=7,
    )
    for row in looked_at(plan):
        upheld(row.sign_off, verifier)
    return plan
