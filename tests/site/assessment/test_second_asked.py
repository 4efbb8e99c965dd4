"""Trade rule 5.2: who asks for a second mark, and who gives it."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import DatabaseError, transaction

from academy.assessment.errors import AssessmentError
from academy.assessment.models import (
    Assessment,
    HeadDraw,
    HeadSamplePlan,
    SecondAsked,
    SecondAssignment,
)
from academy.assessment.services.head_sample import SampleRules, plan_head_sample
from academy.assessment.services.scoring import discard_draft
from academy.assessment.services.second import (
    ask_by_appeal,
    ask_for_second_mark,
    assign_second_mark,
    current_assignment,
    start_second_mark,
    take_back_wish,
)
from academy.assessment.services.submitting import submit
from academy.curriculum.errors import CurriculumError
from academy.curriculum.services import make_rule_set
from academy.people.models import Academy, Role
from tests.site.factories import CohortFactory, CohortPlaceFactory, MembershipFactory
from tests.site.making import draft_head, full_boxes, judged_head, mark_all

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Person

SignedIn = Callable[["Person"], "Client"]
Url = Callable[..., str]


@pytest.fixture
def waiting(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Competent by the marks, rated just below: step 9 asks for a second assessor."""
    return judged_head(version, assessor, apprentice, level=3, overall=2)


def waits(head: Assessment) -> bool:
    return Assessment.objects.waiting_for_second().filter(pk=head.pk).exists()


def test_asked_for_by_steps_8_and_9(waiting: Assessment) -> None:
    assert waiting.outcome.causes == ["rating_differs"]
    assert waits(waiting)


def test_asked_for_by_the_assessor_at_submission(
    draft: Assessment, assessor: Person, chair: Client, url: Url
) -> None:
    at = url("second-ask", token=draft.token)
    chair.post(at, {"reason": " "})
    assert not SecondAsked.objects.exists()
    chair.post(at, {"reason": "The light changed."})
    mark_all(draft, level=4, overall=5)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    draft.refresh_from_db()
    assert draft.outcome.causes == ["request"]
    assert waits(draft)


def test_a_wish_taken_back_before_submitting_asks_for_nothing(
    draft: Assessment, assessor: Person, chair: Client, url: Url
) -> None:
    ask_for_second_mark(assessment=draft, by=assessor, reason="The light changed.")
    chair.post(url("second-ask", token=draft.token), {"back": "1"})
    mark_all(draft, level=4, overall=5)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    assert not waits(draft)


def test_only_the_assessor_of_the_draft_asks(draft: Assessment, colleague: Person) -> None:
    with pytest.raises(AssessmentError, match="Only the assessor"):
        ask_for_second_mark(assessment=draft, by=colleague, reason="I would.")
    with pytest.raises(AssessmentError, match="Only the assessor"):
        take_back_wish(assessment=draft, by=colleague)


def seed_that(draft: Assessment, academy: Academy, verifier: Person, *, draws: bool = True) -> None:
    """Set plans until one draws this place, or does not; then begin anew."""
    for seed in range(200):
        plan_head_sample(academy=academy, by=verifier, percent=Decimal(15), seed=seed)
        again = draft_head(draft.module_version, draft.assessor, draft.apprentice)
        if again.draw.drawn is draws:
            return
        discard_draft(assessment=again, by=draft.assessor)
    raise AssertionError("None of 200 seeds did.")


@pytest.mark.parametrize("drawn", [True, False])
def test_asked_for_by_the_sample_plan_drawn_before_any_mark_and_told_afterwards(
    draft: Assessment,
    academy: Academy,
    verifier: Person,
    chair: Client,
    url: Url,
    drawn: bool,
) -> None:
    discard_draft(assessment=draft, by=draft.assessor)
    seed_that(draft, academy, verifier, draws=drawn)
    head = Assessment.objects.get()
    assert head.marks.count() == 0
    mark_all(head, level=4, overall=5)
    page = chair.get(url("assessment-score", token=head.token)).content.decode()
    assert "sample" not in page
    submit(assessment=head, by=head.assessor, points=[full_boxes()])
    assert waits(head) is drawn


def test_a_discarded_draft_begun_again_is_drawn_the_same(
    draft: Assessment, academy: Academy, verifier: Person
) -> None:
    discard_draft(assessment=draft, by=draft.assessor)
    seed_that(draft, academy, verifier)
    for _ in range(3):
        head = Assessment.objects.get()
        assert head.draw.drawn
        discard_draft(assessment=head, by=draft.assessor)
        draft_head(draft.module_version, draft.assessor, draft.apprentice)


def test_the_share_lies_between_10_and_20_percent_or_there_is_no_sample(
    draft: Assessment, academy: Academy, verifier: Person, assessor: Person
) -> None:
    for percent in (Decimal(9), Decimal(21)):
        with pytest.raises(AssessmentError, match="let 10 to 20 % of heads be drawn"):
            plan_head_sample(academy=academy, by=verifier, percent=percent, seed=1)
    with pytest.raises(AssessmentError, match="Only a verifier"):
        plan_head_sample(academy=academy, by=assessor, percent=Decimal(15), seed=1)
    plan_head_sample(academy=academy, by=verifier, percent=Decimal(0), seed=1)
    discard_draft(assessment=draft, by=assessor)
    draft_head(draft.module_version, assessor, draft.apprentice)
    assert not HeadDraw.objects.exists()


def test_the_house_rules_narrow_the_share_and_the_page_says_so(
    academy: Academy, verifier: Person, educator: Person, signed_in: SignedIn, url: Url
) -> None:
    at, desk = url("head-sample"), signed_in(verifier)
    page = desk.get(at).content.decode()
    assert "10 to 20 %; 0 ends the sample." in page
    assert 'value="15"' in page
    with pytest.raises(CurriculumError, match="Allowed: 10 to 15 %"):
        make_rule_set(
            academy=academy, by=educator, changes={"judging.second_sample_lowest": Decimal(16)}
        )
    make_rule_set(
        academy=academy,
        by=educator,
        changes={
            "judging.second_sample_lowest": Decimal(12),
            "judging.second_sample_highest": Decimal(18),
            "judging.second_sample_percent": Decimal(20),
        },
    )
    assert "lies outside the house rules" not in desk.get(at).content.decode()
    plan_of_before = HeadSamplePlan.objects.create(
        academy=academy, percent=Decimal(10), seed=1, made_by=verifier
    )
    page = desk.get(at).content.decode()
    assert "The share that runs lies outside the house rules of today" in page
    assert "12 to 18 %; 0 ends the sample." in page
    assert 'value="18"' in page
    refused = desk.post(at, {"percent": "19"}).content.decode()
    assert "The house rules let 12 to 18 % of heads be drawn, for example 18 %" in refused
    with pytest.raises(AssessmentError, match="12 to 18 %"):
        plan_head_sample(academy=academy, by=verifier, percent=Decimal(10), seed=1)
    desk.post(at, {"percent": "12"})
    newest = HeadSamplePlan.objects.exclude(pk=plan_of_before.pk).get()
    assert newest.percent == 12


def test_the_running_seed_is_not_shown(
    academy: Academy, verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    """Who knew it would know before marking which head is drawn."""
    desk = signed_in(verifier)
    plan_head_sample(academy=academy, by=verifier, percent=Decimal(15), seed=8_675_309_111)
    assert "8675309111" not in desk.get(url("head-sample")).content.decode()
    desk.post(url("head-sample"), {"percent": "12"})
    page = desk.get(url("head-sample")).content.decode()
    assert "12 % of heads" in page.replace("\u00a0", " ")
    assert "8675309111" in page


def test_the_share_is_15_percent_unless_the_verifier_says_otherwise(
    academy: Academy, verifier: Person, signed_in: SignedIn, url: Url
) -> None:
    assert SampleRules.of(academy).usual == Decimal(15)
    page = signed_in(verifier).get(url("head-sample")).content.decode()
    assert re.search(r'name="percent"[^>]*value="15"|value="15"[^>]*name="percent"', page)


def test_asked_for_by_an_appeal(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    head = judged_head(version, assessor, apprentice, level=1, overall=1)
    assert not waits(head)
    ask_by_appeal(first=head, by=apprentice, reason="An appeal.")
    assert waits(head)
    page = signed_in(apprentice).get(url("result-detail", token=head.token)).content.decode()
    assert "Being looked at by a second assessor" in page


def test_never_the_same_person(waiting: Assessment, assessor: Person, educator: Person) -> None:
    with pytest.raises(AssessmentError, match="gave the first mark"):
        assign_second_mark(first=waiting, assessor=assessor, by=educator)
    with pytest.raises(DatabaseError), transaction.atomic():
        SecondAssignment.objects.create(first=waiting, assessor=assessor, by=educator)
    with pytest.raises(DatabaseError), transaction.atomic():
        Assessment.objects.create(
            academy=waiting.academy,
            apprentice=waiting.apprentice,
            module_version=waiting.module_version,
            assessor=assessor,
            kind="second",
            second_of=waiting,
        )


def test_whoever_taught_that_apprentice_is_warned_and_not_refused(
    academy: Academy,
    waiting: Assessment,
    colleague: Person,
    apprentice: Person,
    educator: Person,
    signed_in: SignedIn,
    url: Url,
) -> None:
    cohort = CohortFactory(academy=academy)
    cohort.educators.add(colleague)
    CohortPlaceFactory(cohort=cohort, person=apprentice)
    at = url("second-assign", token=waiting.token)
    desk = signed_in(educator)
    assert "Joren Pask (teaches this apprentice)" in desk.get(at).content.decode()
    page = desk.post(at, {"assessor": colleague.token}, follow=True).content.decode()
    assert "They teach this apprentice" in page
    assert SecondAssignment.objects.get().taught


def test_an_educator_gives_it_to_a_free_assessor_who_sees_it_on_their_first_page_and_list(
    waiting: Assessment,
    educator: Person,
    colleague: Person,
    signed_in: SignedIn,
    url: Url,
    entries: Callable[[], list[str]],
) -> None:
    entries()
    desk = signed_in(educator)
    page = desk.get(url("second-assign", token=waiting.token)).content.decode()
    assert "Dilys" not in page
    desk.post(url("second-assign", token=waiting.token), {"assessor": colleague.token})
    assert entries() == ["assessment.second.assigned"]
    chair = signed_in(colleague)
    for at in ("/larkmere/", url("second-list")):
        assert url("second-take", token=waiting.token) in chair.get(at).content.decode()
    assert "One second mark to give</h1>" in chair.get("/larkmere/").content.decode()
    answer = chair.post(url("second-take", token=waiting.token))
    draft = Assessment.objects.get(kind="second")
    assert answer["Location"] == url("assessment-score", token=draft.token)


def test_an_assessor_takes_a_free_one_and_gives_none_to_others(
    waiting: Assessment, colleague: Person, signed_in: SignedIn, url: Url
) -> None:
    chair = signed_in(colleague)
    assert chair.get(url("second-assign", token=waiting.token)).status_code == 403
    chair.post(url("second-take", token=waiting.token))
    assert Assessment.objects.get(kind="second").assessor == colleague


def test_who_may_have_to_mark_it_blind_gives_it_to_nobody(
    academy: Academy, waiting: Assessment, colleague: Person, signed_in: SignedIn, url: Url
) -> None:
    """The list of free assessors would tell by absence who gave the first mark."""
    MembershipFactory(academy=academy, person=colleague, role=Role.EDUCATOR)
    at = url("second-assign", token=waiting.token)
    assert signed_in(colleague).get(at).status_code == 403


def test_giving_it_to_another_needs_a_reason_and_discards_what_was_begun(
    waiting: Assessment,
    educator: Person,
    colleague: Person,
    make_member: Callable[..., Person],
) -> None:
    third = make_member(Role.ASSESSOR, name="Pia Harrow")
    mark_all(start_second_mark(first=waiting, assessor=colleague), level=2, overall=2)
    with pytest.raises(AssessmentError, match="Say why it goes"):
        assign_second_mark(first=waiting, assessor=third, by=educator)
    with pytest.raises(AssessmentError, match="Somebody else gives"):
        assign_second_mark(first=waiting, assessor=third, by=third)
    row = assign_second_mark(first=waiting, assessor=third, by=educator, reason="Ill until May.")
    assert current_assignment(waiting) == row
    assert not Assessment.objects.filter(kind="second").exists()
    with pytest.raises(AssessmentError, match="Somebody else gives"):
        start_second_mark(first=waiting, assessor=colleague)
    assert start_second_mark(first=waiting, assessor=third).assessor == third


def test_a_submitted_second_mark_is_given_to_nobody_else(
    waiting: Assessment, educator: Person, colleague: Person, make_member: Callable[..., Person]
) -> None:
    draft = start_second_mark(first=waiting, assessor=colleague)
    mark_all(draft, level=3, overall=3)
    submit(assessment=draft, by=colleague, points=[full_boxes()])
    with pytest.raises(AssessmentError, match="submitted and stands"):
        assign_second_mark(
            first=waiting, assessor=make_member(Role.ASSESSOR), by=educator, reason="Why not."
        )
    assert not waits(waiting)
