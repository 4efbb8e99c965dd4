"""A decision that is added to a batch after its closing is not verified by it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from academy.assessment.models import SignOff
from academy.assessment.queries import place_of
from academy.assessment.results import Standing
from academy.assessment.services.sampling import close_sample_plan, looked_at
from academy.assessment.services.signing import verify
from academy.assessment.verifying import waiting_for
from tests.site.assessment.batches import looked_at_batch
from tests.site.making import upheld

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


def test_what_an_overturning_adds_to_a_closed_batch_is_verified_only_once_it_is_upheld(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    make_member: Callable[..., Person],
) -> None:
    plan = looked_at_batch(version, assessor, verifier, make_member)
    close_sample_plan(plan=plan, by=verifier)
    assert all(row.verified for row in SignOff.objects.all().standing())
    drawn = looked_at(plan)[0].sign_off
    verify(sign_off=drawn, verifier=verifier, result="overturned", text="Not their head.")
    added = [row.sign_off for row in looked_at(plan) if hasattr(row, "added")]
    assert added
    for row in added:
        assert place_of(academy, row.apprentice, version).standing is Standing.VERIFY
        upheld(row, verifier)
        assert place_of(academy, row.apprentice, version).standing is Standing.COMPETENT


def test_queue_and_standing_agree_on_what_is_verified(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    make_member: Callable[..., Person],
) -> None:
    plan = looked_at_batch(version, assessor, verifier, make_member)
    close_sample_plan(plan=plan, by=verifier)
    drawn = looked_at(plan)[0].sign_off
    verify(sign_off=drawn, verifier=verifier, result="overturned", text="Not their head.")
    waiting = {row.sign_off.pk for row in waiting_for(academy, verifier)}
    rows = SignOff.objects.all().standing()
    assert waiting
    assert {row.pk for row in rows if not row.verified} == waiting
