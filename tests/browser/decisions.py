"""Behind the scenes of the journeys in which heads, pairs, sign-offs and batches are decided.

The stage imports it once Django has its settings. Each deed makes what its journey starts from
and tells the addresses of those who walk it, by role, and the tokens of what it names.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import time_machine
from django.db import transaction
from django.utils import timezone

from academy.assessment.services.sampling import Batch, Promise, open_sample_plan
from academy.curriculum.content import CriterionContent, Scope
from academy.people import services as people
from academy.people.addresses import keep_address
from academy.people.models import Role
from tests.browser.staffed import STAFFED
from tests.site.again import WEAK, Chair, coverage_module
from tests.site.factories import member
from tests.site.making import (
    LEVELS,
    judged_head,
    module_content,
    publish,
    publish_content,
    second_mark,
    sign_on,
    sixty_decisions,
    thin_head,
)

if TYPE_CHECKING:
    from academy.people.models import Person
    from tests.site.world import Staffed


def _ago(days: int) -> time_machine.travel:
    return time_machine.travel(timezone.now() - timedelta(days=days))


def _joins(staffed: Staffed, role: Role, name: str) -> Person:
    """Somebody more, who has been here for some days."""
    email = f"{name.split(maxsplit=1)[0].lower()}@{staffed.academy.slug}.example"
    with _ago(12):
        person = member(staffed.academy, role, name=name, email=email)
        keep_address(person)
        if role == Role.APPRENTICE:
            people.place_in_cohort(person=person, cohort=staffed.cohort, by=staffed.manager)
    return person


def weak_before(slug: str) -> dict[str, Any]:
    """The nape was weak 8 days ago; practised since, and a plan asks for the whole module."""
    staffed = STAFFED[slug]
    apprentice = _joins(staffed, Role.APPRENTICE, "Callum Breck")
    assessor = _joins(staffed, Role.ASSESSOR, "Bram Halvorsen")
    with _ago(8) as clock:
        at = Chair(coverage_module(staffed.academy, staffed.educator), apprentice, clock)
        at.assessed(staffed.assessor, WEAK)
        at.plan(staffed.educator, whole=True)
        at.ready()
    return {"apprentice": apprentice.email, "assessor": assessor.email}


def near_the_line(slug: str) -> dict[str, Any]:
    """A module whose head mark is 66 where evenness is at 2 and all else at 3."""
    staffed = STAFFED[slug]
    content = module_content("line", zones=True)
    gloves, coverage = content.criteria
    evenness = CriterionContent("A3", "evenness", Scope.ZONES, LEVELS, weight=5)
    criteria = (replace(gloves, weight=4), replace(coverage, weight=5), evenness)
    publish_content(staffed.academy, staffed.educator, replace(content, criteria=criteria))
    return {
        "apprentice": _joins(staffed, Role.APPRENTICE, "Nadia Sorrell").email,
        "first": _joins(staffed, Role.ASSESSOR, "Quillon Vasterby").email,
        "second": _joins(staffed, Role.ASSESSOR, "Yusra Lindqvist").email,
    }


def disagreement(slug: str) -> dict[str, Any]:
    """A head that the sample drew: competent for one assessor, not yet for the other."""
    staffed = STAFFED[slug]
    apprentice = _joins(staffed, Role.APPRENTICE, "Priyanka Moss")
    second = _joins(staffed, Role.ASSESSOR, "Joren Pask")
    version = publish(staffed.academy, staffed.educator, "lightener", zones=True)
    first = judged_head(version, staffed.assessor, apprentice, level=3, drawn=True)
    second_mark(first, second, level=2, overall=2)
    return {"apprentice": apprentice.email}


def thin_feedback(slug: str) -> dict[str, Any]:
    """Two heads on two days, competent; the feedback of the newer one has 2 of 4 boxes."""
    staffed = STAFFED[slug]
    with _ago(2):
        version = publish(staffed.academy, staffed.educator, "white", heads=2)
        judged_head(version, staffed.assessor, staffed.apprentice)
    thin_head(version, staffed.assessor, staffed.apprentice)
    return {}


def own_decision(slug: str) -> dict[str, Any]:
    """The verifier once assessed; a sign-off that rests on their head lies in a sample."""
    staffed = STAFFED[slug]
    apprentice = _joins(staffed, Role.APPRENTICE, "Wren Adeyemi")
    other = _joins(staffed, Role.VERIFIER, "Pia Harrow")
    with _ago(9):
        version = publish(staffed.academy, staffed.educator, "strand", heads=2)
        held = people.give_role(
            person=staffed.verifier, academy=staffed.academy, role="assessor", by=staffed.manager
        )
        judged_head(version, staffed.verifier, apprentice)
        today = timezone.localdate()
        people.end_membership(membership=held, by=staffed.manager, last_day=today)
    judged_head(version, staffed.assessor, apprentice)
    row = sign_on(version, staffed.assessor, apprentice)
    today = timezone.localdate()
    open_sample_plan(
        academy=staffed.academy,
        by=other,
        batch=Batch("Strand checks", today, today),
        promise=Promise(rate=Decimal("0.1"), confidence=Decimal("0.95")),
        seed=4711,
    )
    return {"other": other.email, "sign_off": row.token}


def sixty(slug: str) -> dict[str, Any]:
    """Sixty decisions that need not be looked at."""
    staffed = STAFFED[slug]
    # In one go, for the sake of time.
    with transaction.atomic():
        sixty_decisions(staffed.academy, staffed.educator, staffed.verifier)
    return {}


DECISIONS = {
    deed.__name__: deed
    for deed in (
        weak_before,
        near_the_line,
        disagreement,
        thin_feedback,
        own_decision,
        sixty,
    )
}
