"""After a "not yet": every sentence of trade.md 5.5 about the next head, and journey 10."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
import time_machine
from django.db import Error, connection, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Reassessment
from academy.assessment.queries import place_of
from academy.assessment.services.plans import close_action_plan
from academy.assessment.services.scoring import (
    set_level,
    set_overall,
    stop_head,
)
from academy.assessment.services.second import assign_second_mark, start_second_mark
from academy.assessment.services.submitting import submit
from academy.craft.judging.reassessment import WholeBecause
from academy.curriculum.services import make_rule_set
from academy.people.models import Academy, Person, Role
from academy.people.services import make_cohort, place_in_cohort
from tests.site.again import WEAK, Chair, coverage_module
from tests.site.making import full_boxes

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion


@pytest.fixture
def coverage(academy: Academy, educator: Person) -> ModuleVersion:
    return coverage_module(academy, educator)


@pytest.fixture
def at(coverage: ModuleVersion, apprentice: Person) -> Iterator[Chair]:
    with time_machine.travel(timezone.now(), tick=False) as clock:
        yield Chair(coverage, apprentice, clock)


def test_earliest_reassessment_is_7_days_later(at: Chair, assessor: Person) -> None:
    at.assessed(assessor, WEAK)
    at.practise()
    at.wait(6)
    with pytest.raises(AssessmentError, match=r"Too early.*7 days after"):
        at.begin(assessor, "V2")
    at.wait(1)
    assert at.begin(assessor, "V2").pk


def test_with_2_more_logged_practice_heads_that_cover_the_missed_criterion_and_zone(
    at: Chair, assessor: Person
) -> None:
    at.practise(heads=5)  # before the "not yet": these do not count
    at.assessed(assessor, WEAK)
    at.practise(heads=1)
    at.practise(heads=3, zones=("crown",))
    at.practise(heads=3, criteria=("V3",))
    at.wait(8)
    with pytest.raises(AssessmentError, match="Coverage in the nape zone: 1 of 2 logged since"):
        at.begin(assessor, "V2")
    at.practise(heads=1)
    assert at.after().open_now
    assert at.begin(assessor, "V2").pk


def test_days_and_heads_are_rules_of_the_house(
    at: Chair, assessor: Person, educator: Person, academy: Academy
) -> None:
    make_rule_set(
        academy=academy,
        by=educator,
        changes={"judging.again_days": Decimal(3), "judging.again_heads": Decimal(1)},
    )
    at.assessed(assessor, WEAK)
    at.practise(heads=1)
    at.wait(3)
    assert at.begin(assessor, "V2").pk


def test_a_partial_one_judges_missed_criteria_in_all_zones_plus_one_other_chosen_by_the_assessor(
    at: Chair, assessor: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    with pytest.raises(AssessmentError, match="Choose 1") as refused:
        at.begin(assessor)
    assert refused.value.field == "chosen"
    head = at.begin(assessor, "V4")
    assert head.reassessment.criteria == ["V1", "V4"]
    out = at.version.criteria.get(code="V3")
    with pytest.raises(AssessmentError, match="not judged in this partial"):
        set_level(assessment=head, by=assessor, criterion=out, zone="nape", level=3)


def test_the_assessor_sees_only_the_criteria_in_scope(
    at: Chair,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    head = at.begin(assessor, "V2")
    words = signed_in(assessor).get(url("assessment-score", token=head.token)).content.decode()
    assert "Coverage" in words
    assert "Order" in words
    assert "Saturation" not in words
    assert "A zone that is left out makes it “not yet”." in words
    assert "Mix" not in words


def test_a_partial_one_has_no_head_mark_and_is_competent_at_3_everywhere(
    at: Chair, assessor: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    head = at.assessed(assessor, {}, "V2")
    assert (head.outcome.by_marks, head.outcome.head_mark) == ("competent", None)
    assert {reason["step"] for reason in head.outcome.reasons} == {11}


def test_the_page_that_explains_a_partial_one_says_that_steps_4_to_8_do_not_apply(
    at: Chair,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    head = at.assessed(assessor, {("V1", "crown"): 2}, "V2")
    page = signed_in(assessor).get(url("explained", token=head.token)).content.decode()
    assert page.count("Does not apply: a partial re-assessment has no head mark.") == 5
    rule = page[page.index("<b>Every re-judged criterion</b>") :]
    assert "Coverage: crown 2, nape 3" in rule
    assert rule.index("Decides: not yet.") < rule.index("<b>9 Overall rating</b>")


def test_a_partial_one_counts_as_one_head_and_restarts_the_in_a_row_run(
    at: Chair, assessor: Person
) -> None:
    at.assessed(assessor)
    at.wait(1)
    at.assessed(assessor, WEAK)
    at.ready()
    at.assessed(assessor, {}, "V2")
    place = place_of(at.version.academy, at.apprentice, at.version)
    assert len(place.evidence.run) == 1
    at.wait(1)
    at.assessed(assessor)
    place = place_of(at.version.academy, at.apprentice, at.version)
    assert len(place.evidence.run) == 2


def test_missed_must_pass_the_whole_module_again(at: Chair, assessor: Person) -> None:
    at.assessed(assessor, {("V4", ""): 2})
    at.ready()
    head = at.begin(assessor)
    assert head.reassessment.whole_because == [WholeBecause.MUST.value]
    assert not head.reassessment.partial


def test_stop_event_the_whole_module_again(at: Chair, assessor: Person) -> None:
    head = at.begin(assessor)
    stop_head(assessment=head, by=assessor, event="no-gloves")
    submit(assessment=head, by=assessor, points=[full_boxes()])
    at.ready()
    assert at.begin(assessor).reassessment.whole_because == [WholeBecause.STOP.value]


def test_the_educator_may_ask_for_the_whole_module_instead(
    at: Chair, assessor: Person, educator: Person
) -> None:
    at.assessed(assessor, WEAK)
    plan = at.plan(educator, whole=True)
    assert at.after().again.whole_because == (WholeBecause.ASKED,)
    close_action_plan(plan=plan, educator=educator, came_of="Not needed any more.")
    assert at.after().again.partial


def test_a_partial_one_that_misses_a_must_pass_is_followed_by_the_whole_module(
    at: Chair, assessor: Person
) -> None:
    """As in Callum's story: V1 in the nape, then also the strand check."""
    at.assessed(assessor, WEAK)
    at.ready()
    at.assessed(assessor, {("V4", ""): 2}, "V4")
    assert at.after().again.whole_because == (WholeBecause.MUST,)
    at.ready()
    head = at.assessed(assessor, {("V1", "nape"): 2})
    assert head.outcome.by_marks == "competent"
    assert at.after() is None


def test_from_the_third_not_yet_none_of_the_earlier_assessors_and_an_action_plan(
    at: Chair,
    assessor: Person,
    colleague: Person,
    educator: Person,
    make_member: Callable[..., Any],
) -> None:
    third = make_member(Role.ASSESSOR, name="Bram Halvorsen")
    for by in (assessor, colleague, assessor):
        at.assessed(by, WEAK, *(("V2",) if at.after() else ()))
        at.ready()
    for barred in (assessor, colleague):
        with pytest.raises(AssessmentError, match=r"After the third .not yet. somebody else"):
            at.begin(barred, "V2")
    with pytest.raises(AssessmentError, match="an action plan with a date comes first"):
        at.begin(third, "V2")
    at.plan(educator)
    assert at.begin(third, "V2").pk


def test_until_the_third_the_same_assessor_may_assess_without_a_plan(
    at: Chair, assessor: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    at.assessed(assessor, WEAK, "V2")
    at.ready()
    assert at.begin(assessor, "V2").pk


def test_a_not_yet_never_lapses_and_a_later_competent_stands_beside_it(
    at: Chair, assessor: Person
) -> None:
    first = at.assessed(assessor, WEAK)
    at.ready()
    at.assessed(assessor, {}, "V2")
    at.wait(800)
    assert Assessment.objects.get(pk=first.pk).outcome.by_marks == "not_yet"
    assert at.after() is None


def test_a_second_mark_of_a_partial_head_has_its_scope(
    at: Chair, assessor: Person, colleague: Person, educator: Person
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    head = at.begin(assessor, "V2")
    for code, zone in (("V1", "crown"), ("V1", "nape"), ("V2", "")):
        criterion = at.version.criteria.get(code=code)
        set_level(assessment=head, by=assessor, criterion=criterion, zone=zone, level=3)
    set_overall(assessment=head, by=assessor, rating=2)
    submit(assessment=head, by=assessor, points=[full_boxes()])
    assign_second_mark(first=head, assessor=colleague, by=educator)
    second = at.mark(start_second_mark(first=head, assessor=colleague), {})
    assert second.outcome.head_mark is None
    assert second.outcome.figures["marking"]["partial"] is True


def test_the_scope_of_a_submitted_head_never_changes(at: Chair, assessor: Person) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    at.assessed(assessor, {}, "V2")
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE assessment_reassessment SET criteria = '[]'")
    with pytest.raises(Error), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM assessment_reassessment")


def test_apprentice_assessor_and_educator_read_what_the_next_head_waits_for(
    at: Chair,
    assessor: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at.assessed(assessor, WEAK)
    at.practise(heads=1)
    address = url("again", person=at.apprentice.token, module=at.version.module.token)
    for person in (at.apprentice, assessor, educator):
        words = signed_in(person).get(address).content.decode()
        assert "Partial: Coverage, in every judged zone" in words
        assert "1 of 2" in words
        assert "7 days after" in words


def test_an_assessor_begins_the_next_head_from_its_page(
    at: Chair,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at.assessed(assessor, WEAK)
    at.ready()
    chair = signed_in(assessor)
    data = {"apprentice": at.apprentice.token, "module": at.version.module.token}
    sent = chair.post(url("assessment-new"), data)
    address = url("again", person=at.apprentice.token, module=at.version.module.token)
    assert sent["Location"] == address
    assert "may stay empty" not in chair.get(address).content.decode()
    assert "Nothing chosen yet." in chair.post(address, {}).content.decode()
    assert "Choose 1 besides" in chair.post(address, {"chosen": ["V3", "V4"]}).content.decode()
    assert not Reassessment.objects.exists()
    chair.post(address, {"chosen": ["V3"]})
    assert Reassessment.objects.get().criteria == ["V1", "V3"]


def test_nobody_but_an_assessor_begins_it(
    at: Chair,
    assessor: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at.assessed(assessor, WEAK)
    address = url("again", person=at.apprentice.token, module=at.version.module.token)
    for person in (educator, at.apprentice):
        assert signed_in(person).post(address, {}).status_code == 403


def test_first_pages_remind_educator_and_apprentice(
    at: Chair,
    assessor: Person,
    educator: Person,
    manager: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    day = timezone.localdate() - timedelta(days=5)
    cohort = make_cohort(
        academy=at.version.academy, by=manager, name="Heron", starts_on=day, educators=[educator]
    )
    place_in_cohort(person=at.apprentice, cohort=cohort, by=manager, since=day)
    for _ in range(3):
        at.assessed(assessor, WEAK, *(("V2",) if at.after() else ()))
        at.ready()
    slug = at.version.academy.slug
    words = signed_in(educator).get(f"/{slug}/").content.decode()
    assert "action plan to be written" in words
    words = signed_in(at.apprentice).get(f"/{slug}/").content.decode()
    assert "An action plan is to be written." in words
    at.plan(educator)
    at.wait(11)
    words = signed_in(educator).get(f"/{slug}/").content.decode()
    assert "action plan was due" in words
    assert "Six nape panels" in signed_in(at.apprentice).get(f"/{slug}/").content.decode()


def test_journey_10_weak_zone(
    at: Chair, assessor: Person, chair: Client, url: Callable[..., str]
) -> None:
    """Nape 1, all else 3: not yet "weak zone: nape", mark shown, feedback refuses empty."""
    head = at.begin(assessor)
    for criterion in at.version.criteria.all():
        zones = at.version.judged_zones if criterion.scope == "zones" else [""]
        for zone in zones:
            level = 1 if (criterion.code, zone) == ("V1", "nape") else 3
            chair.post(
                url("assessment-level", token=head.token),
                {f"level-{criterion.code}-{zone}": str(level)},
            )
    chair.post(url("assessment-overall", token=head.token), {"overall": "3"})
    feedback = url("assessment-feedback", token=head.token)
    refused = chair.post(feedback + "?sure=1", {"submit": "1"})
    assert "A “not yet” needs" in refused.content.decode()
    head.refresh_from_db()
    assert head.state == Assessment.State.DRAFT
    submit(assessment=head, by=assessor, points=[full_boxes()])
    head.refresh_from_db()
    assert head.outcome.by_marks == "not_yet"
    assert head.outcome.head_mark is not None
    assert head.outcome.head_mark > head.outcome.pass_line
    words = chair.get(url("result-detail", token=head.token)).content.decode()
    assert "Coverage is at 1 in the nape zone" in words
    assert f"{head.outcome.head_mark:.1f}" in words
