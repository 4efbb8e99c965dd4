"""Once told that the sample drew a head, nobody gets another draw by withdrawing it."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from academy.assessment.models import Assessment
from academy.assessment.musts import Musts
from academy.assessment.services.head_sample import plan_head_sample
from academy.assessment.services.submitting import submit
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.craft.judging.sampling import falls_in
from tests.site.making import draft_head, full_boxes, judged_head

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

MISTAKE = "levels of another head"


def seed_drawing(academy: Academy, verifier: Person, place: str) -> None:
    """Set plans until one draws this place and not the one after it."""
    stem, number = place.rsplit(":", 1)
    after = f"{stem}:{int(number) + 1}"
    percent = Decimal(15)
    seed = next(
        seed
        for seed in range(2000)
        if falls_in(seed, place, percent) and not falls_in(seed, after, percent)
    )
    plan_head_sample(academy=academy, by=verifier, percent=percent, seed=seed)


@pytest.fixture
def told(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    verifier: Person,
    apprentice: Person,
) -> Assessment:
    """Drawn, told so, and withdrawn; the next place is not drawn."""
    seed_drawing(academy, verifier, f"{apprentice.pk}:{version.module_id}:1")
    head = judged_head(version, assessor, apprentice)
    assert head.draw.drawn
    withdraw(assessment=head, by=assessor, reason=MISTAKE)
    return Assessment.objects.get(pk=head.pk)


def test_begun_by_the_usual_form_it_keeps_the_draw_of_the_withdrawn_head(
    told: Assessment, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = judged_head(version, assessor, apprentice)
    assert (head.draw.place, head.draw.drawn) == (told.draw.place, True)
    assert list(head.outcome.causes) == ["sample"]


def test_it_keeps_it_under_a_new_plan_and_by_another_assessor(
    told: Assessment,
    academy: Academy,
    version: ModuleVersion,
    verifier: Person,
    colleague: Person,
    apprentice: Person,
) -> None:
    plan_head_sample(academy=academy, by=verifier, percent=Decimal(0), seed=1)
    assert draft_head(version, colleague, apprentice).draw.plan == told.draw.plan


def test_the_head_after_it_is_drawn_by_its_own_number(
    told: Assessment, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    judged_head(version, assessor, apprentice)
    head = draft_head(version, assessor, apprentice)
    assert head.draw.place == f"{apprentice.pk}:{version.module_id}:2"
    assert not head.draw.drawn


def test_begun_with_its_levels_it_takes_the_place_once(
    told: Assessment, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    again = begin_again(withdrawn=told, by=assessor)
    assert again.draw.place == told.draw.place
    submit(assessment=again, by=assessor, points=[full_boxes()])
    head = draft_head(version, assessor, apprentice)
    assert head.draw.place == f"{apprentice.pk}:{version.module_id}:2"


def test_a_sign_off_on_the_head_that_took_its_place_must_be_looked_at(
    academy: Academy, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    mistake = judged_head(version, assessor, apprentice)
    withdraw(assessment=mistake, by=assessor, reason=MISTAKE)
    assert Musts.of(academy).amended == frozenset()
    taken, after = (judged_head(version, assessor, apprentice) for _ in range(2))
    assert taken.again_of is None
    assert Musts.of(academy).amended == {taken.pk}
    assert after.pk not in Musts.of(academy).amended
