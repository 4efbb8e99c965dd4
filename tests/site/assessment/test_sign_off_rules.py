"""Sign-off and how many heads: sentence by sentence of the academy's rules (trade.md 5.3, 5.4)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Acknowledgement, Assessment
from academy.assessment.queries import place_of, ready_to_sign
from academy.assessment.results import Standing, conditions
from academy.assessment.services.scoring import set_level
from academy.assessment.services.submitting import acknowledge, submit
from academy.craft.judging.readiness import pass_rate_words
from academy.curriculum.services import make_rule_set
from academy.people.models import Role
from tests.site.factories import PASSWORD, CohortFactory, CohortPlaceFactory, MembershipFactory
from tests.site.making import (
    draft_head,
    full_boxes,
    judged_head,
    mark_all,
    module_content,
    publish,
    publish_content,
    sign_on,
    thin_head,
)

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

TICKED = {"valid": "on", "sufficient": "on", "authentic": "on", "current": "on"}


def needs(version: ModuleVersion, apprentice: Person, signer: Person) -> dict[str, bool]:
    """Which conditions of a sign-off are met."""
    evidence = place_of(version.academy, apprentice, version).evidence
    return {one.key: one.met for one in conditions(evidence, signer.pk)}


@pytest.fixture
def three_heads(academy: Academy, educator: Person) -> ModuleVersion:
    content = replace(module_content("three", heads=3), months_valid=24)
    return publish_content(academy, educator, content)


def head_on(
    days_ago: int, version: ModuleVersion, by: Person, of: Person, level: int = 4
) -> Assessment:
    for person in (by, of):
        person.memberships.update(since=timezone.localdate() - timedelta(days=400))
    with time_machine.travel(timezone.now() - timedelta(days=days_ago)):
        return judged_head(version, by, of, level=level, overall=level)


def test_the_pass_line_belongs_to_the_rule_set_and_a_head_keeps_it_and_its_version(
    academy: Academy,
    educator: Person,
    three_heads: ModuleVersion,
    assessor: Person,
    apprentice: Person,
) -> None:
    head = judged_head(three_heads, assessor, apprentice)
    assert (head.module_version, head.rule_set) == (three_heads, None)
    changed = make_rule_set(
        academy=academy, by=educator, changes={"judging.pass_line": Decimal(70)}
    )
    later = judged_head(three_heads, assessor, apprentice)
    assert later.rule_set == changed
    assert head.outcome.pass_line == Decimal(65)
    assert later.outcome.pass_line == Decimal(70)


def test_band_and_weak_zone_belong_to_the_rule_set_and_bind_no_earlier_head(
    academy: Academy,
    educator: Person,
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
) -> None:
    before = judged_head(version, assessor, apprentice, level=3, overall=3)
    kept = dict(before.outcome.figures)
    changes = {"judging.near_band": Decimal(10), "judging.weak_zone": Decimal(2)}
    make_rule_set(academy=academy, by=educator, changes=changes)
    near = judged_head(version, assessor, apprentice, level=3, overall=3)
    assert (before.outcome.causes, near.outcome.causes) == ([], ["near_line"])
    weak = draft_head(version, assessor, apprentice)
    mark_all(weak, level=3, overall=3)
    coverage = version.criteria.get(code="A2")
    set_level(assessment=weak, by=assessor, criterion=coverage, zone="nape", level=2)
    submit(assessment=weak, by=assessor, points=[full_boxes()])
    assert weak.outcome.figures["outcome"]["decided_by"] == 4
    before.outcome.refresh_from_db()
    assert before.outcome.figures == kept
    assert "weak_zone" not in kept["marking"]["rules"]


def test_number_of_heads_belongs_to_the_version_days_and_currency_to_the_rule_set(
    academy: Academy,
    educator: Person,
    three_heads: ModuleVersion,
    assessor: Person,
    apprentice: Person,
) -> None:
    for _ in range(3):
        head_on(200, three_heads, assessor, apprentice)
    evidence = place_of(academy, apprentice, three_heads).evidence
    assert (evidence.heads_required, len(evidence.run)) == (3, 3)
    found = needs(three_heads, apprentice, assessor)
    assert (found["heads"], found["days"]) == (True, False)
    make_rule_set(academy=academy, by=educator, changes={"judging.head_days": Decimal(1)})
    assert "days" not in needs(three_heads, apprentice, assessor)
    make_rule_set(academy=academy, by=educator, changes={"judging.evidence_months": Decimal(6)})
    assert not needs(three_heads, apprentice, assessor)["heads"]


def test_the_required_heads_are_competent_in_a_row_on_at_least_two_days(
    three_heads: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    for days in (9, 9):
        head_on(days, three_heads, assessor, apprentice)
    assert needs(three_heads, apprentice, assessor)["heads"] is False
    head_on(9, three_heads, assessor, apprentice)
    found = needs(three_heads, apprentice, assessor)
    assert (found["heads"], found["days"]) == (True, False)
    head_on(3, three_heads, assessor, apprentice)
    assert needs(three_heads, apprentice, assessor)["days"] is True


def test_a_not_yet_in_between_begins_the_row_anew(
    three_heads: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    for days in (40, 35):
        head_on(days, three_heads, assessor, apprentice)
    head_on(30, three_heads, assessor, apprentice, level=1)
    evidence = place_of(three_heads.academy, apprentice, three_heads).evidence
    assert evidence.run == []


def test_the_honest_interval_stands_beside_the_count(
    three_heads: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    for days in (9, 6, 3):
        head_on(days, three_heads, assessor, apprentice)
    at = url("signoff-new", person=apprentice.token, module=three_heads.module.token)
    page = chair.get(at).content.decode()
    assert pass_rate_words(3, 3) == "3 of 3 means a true pass rate plausibly 44–100 %."
    assert pass_rate_words(3, 3) in page


def test_evidence_older_than_twelve_months_does_not_count(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    with time_machine.travel(timezone.now() + timedelta(days=400)):
        judged_head(version, assessor, apprentice)
    with time_machine.travel(timezone.now() + timedelta(days=400 + 364)):
        assert needs(version, apprentice, assessor)["heads"] is True
    with time_machine.travel(timezone.now() + timedelta(days=400 + 367)):
        assert needs(version, apprentice, assessor)["heads"] is False


def test_it_is_for_apprentice_and_version_and_names_the_assessments_it_rests_on(
    three_heads: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head_on(20, three_heads, assessor, apprentice)
    latest = [head_on(days, three_heads, assessor, apprentice) for days in (9, 6, 3)]
    row = sign_on(three_heads, assessor, apprentice)
    assert (row.apprentice, row.module_version) == (apprentice, three_heads)
    assert set(row.assessments.all()) == set(latest)


def test_every_condition_that_is_missing_is_listed_with_a_link_that_leads_there(
    academy: Academy,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    version = publish(academy, educator, "practised", target=3)
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    page = chair.get(at).content.decode()
    begin = (
        url("assessment-new") + f"?apprentice={apprentice.token}&amp;module={version.module.token}"
    )
    standing = reverse(
        "reports:standing",
        kwargs={
            "academy": academy.slug,
            "person": apprentice.token,
            "module": version.module.token,
        },
    )
    assert "0 of 1 heads competent in a row." in page
    assert begin in page
    assert "Practice still to do: 3 heads." in page
    assert "See the practice" in page
    assert "You made none of these assessments." in page
    assert "conditions still open" in page
    assert page.count(standing) >= 2


def test_a_head_under_a_second_look_is_named_and_linked(
    version: ModuleVersion,
    submitted: Assessment,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    open_one = judged_head(version, assessor, apprentice, level=3, overall=1)
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    page = chair.get(at).content.decode()
    assert "A second mark or ruling is open on 1 of the heads." in page
    assert url("result-detail", token=open_one.token) in page


def test_feedback_under_three_boxes_is_refused_with_the_empty_ones_named_and_a_link(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    apprentice: Person,
    chair: Client,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    head = thin_head(version, assessor, apprentice)
    with pytest.raises(AssessmentError, match=r"2 of 4; empty: Why, Next"):
        sign_on(version, assessor, apprentice)
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    assert url("feedback-correct", token=head.token) in chair.get(at).content.decode()
    theirs = signed_in(colleague).get(at).content.decode()
    assert url("feedback-correct", token=head.token) not in theirs
    assert url("result-detail", token=head.token) in theirs


def test_how_many_boxes_and_days_are_rules_of_the_academy(
    academy: Academy,
    educator: Person,
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
) -> None:
    head = thin_head(version, assessor, apprentice)
    make_rule_set(academy=academy, by=educator, changes={"judging.feedback_boxes": Decimal(2)})
    assert sign_on(version, assessor, apprentice).assessments.get() == head


def test_nobody_opens_the_page_to_sign_themselves_off(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.APPRENTICE)
    at = url("signoff-new", person=assessor.token, module=version.module.token)
    assert chair.get(at).status_code == 403
    assert chair.post(at, {**TICKED, "password": PASSWORD}).status_code == 403


def test_the_page_says_who_signs(
    version: ModuleVersion,
    submitted: Assessment,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    assert "Sign as Dilys Okafor-Reed" in chair.get(at).content.decode()


def test_the_apprentice_acknowledges_within_fourteen_days(
    submitted: Assessment,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at = url("result-detail", token=submitted.token)
    with time_machine.travel(timezone.now() + timedelta(days=14)):
        assert "I have read this</button>" in signed_in(apprentice).get(at).content.decode()
        acknowledge(assessment=submitted, apprentice=apprentice)
    assert Acknowledgement.objects.get().assessment == submitted


def test_after_fourteen_days_it_stands_with_not_acknowledged(
    academy: Academy,
    submitted: Assessment,
    apprentice: Person,
    assessor: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at = url("result-detail", token=submitted.token)
    with time_machine.travel(timezone.now() + timedelta(days=15)):
        with pytest.raises(AssessmentError, match="stands as not acknowledged"):
            acknowledge(assessment=submitted, apprentice=apprentice)
        phone = signed_in(apprentice)
        for browser in (phone, signed_in(assessor)):
            page = browser.get(at).content.decode()
            assert "not acknowledged" in page
            assert "I have read this</button>" not in page
        assert "not acknowledged" in phone.get(url("result-list")).content.decode()
        assert "A result to read" not in phone.get(f"/{academy.slug}/").content.decode()


def test_the_days_to_read_run_from_the_moment_the_whole_sheet_is_shown(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    waiting = judged_head(version, assessor, apprentice, level=3, overall=1)
    with time_machine.travel(timezone.now() + timedelta(days=20)):
        page = signed_in(apprentice).get(url("result-detail", token=waiting.token))
        assert "not acknowledged" not in page.content.decode()


def test_a_sign_off_does_not_wait_for_the_acknowledgement(
    version: ModuleVersion, submitted: Assessment, assessor: Person, apprentice: Person
) -> None:
    assert not hasattr(submitted, "acknowledgement")
    assert sign_on(version, assessor, apprentice).assessments.get() == submitted


def test_what_is_signed_already_is_said_and_not_signed_again(
    version: ModuleVersion,
    submitted: Assessment,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    row = sign_on(version, assessor, apprentice)
    at = url("signoff-new", person=apprentice.token, module=version.module.token)
    page = chair.get(at).content.decode()
    assert "Signed already" in page
    assert url("signoff-detail", token=row.token) in page
    assert "Sign as Dilys" not in page


def test_who_has_new_heads_after_a_sign_off_lapsed_is_listed_to_be_signed_again(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    content = replace(module_content("lapsing"), months_valid=12)
    version = publish_content(academy, educator, content)
    CohortPlaceFactory(cohort=CohortFactory(academy=academy), person=apprentice)
    head_on(390, version, assessor, apprentice)
    with time_machine.travel(timezone.now() - timedelta(days=390)):
        sign_on(version, assessor, apprentice)
    assert ready_to_sign(academy, assessor) == []
    judged_head(version, assessor, apprentice)
    [row] = ready_to_sign(academy, assessor)
    assert row.place.standing is Standing.EXPIRED
    assert sign_on(version, assessor, apprentice).assessments.count() == 1
    assert ready_to_sign(academy, assessor) == []
