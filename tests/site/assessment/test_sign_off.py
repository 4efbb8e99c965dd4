"""Signing a module off: every condition by its name, the signature, and the row that stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
import time_machine
from allauth.account.internal.flows.login import record_authentication
from django.db import IntegrityError, transaction
from django.test import Client, RequestFactory
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, SignOff
from academy.assessment.services.feedback import correct_feedback
from academy.assessment.services.scoring import set_level, set_overall
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.signing import verify
from academy.assessment.services.submitting import submit
from academy.audit.queries import history_of
from academy.audit.sentences import render
from academy.craft.exercise.engine import Level
from academy.craft.judging.marking import SecondCause
from academy.exercises.drawing import PartWanted
from academy.exercises.services import hand_in, set_paper, start_sheet
from academy.exercises.services.wanted import Wanted
from academy.people.models import Academy, Person, Role
from academy.web.days import written
from tests.site.exercises.conftest import right_answers
from tests.site.factories import PASSWORD, CohortFactory, CohortPlaceFactory, MembershipFactory
from tests.site.making import (
    draft_head,
    full_boxes,
    judged_head,
    mark_all,
    publish,
    sign_on,
)

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion

TICKED = {"valid": "on", "sufficient": "on", "authentic": "on", "current": "on"}


@pytest.fixture
def two_heads(academy: Academy, educator: Person) -> ModuleVersion:
    """A module that asks for two heads in a row."""
    return publish(academy, educator, "two", heads=2)


@pytest.fixture
def at(version: ModuleVersion, apprentice: Person, url: Callable[..., str]) -> str:
    return url("signoff-new", person=apprentice.token, module=version.module.token)


def test_signing_writes_one_row_one_entry_and_names_the_heads(
    version: ModuleVersion,
    submitted: Assessment,
    chair: Client,
    at: str,
    entries: Callable[[], list[str]],
) -> None:
    answer = chair.post(at, {**TICKED, "password": PASSWORD})
    row = SignOff.objects.get()
    assert answer["Location"].endswith(f"/signed/{row.token}/")
    assert list(row.assessments.all()) == [submitted]
    assert row.method == "password"
    assert entries() == ["assessment.signoff.given"]


def test_a_double_submit_gives_one_sign_off(
    version: ModuleVersion,
    submitted: Assessment,
    chair: Client,
    at: str,
    entries: Callable[[], list[str]],
) -> None:
    for _ in range(2):
        chair.post(at, {**TICKED, "password": PASSWORD})
    assert SignOff.objects.count() == 1
    assert entries() == ["assessment.signoff.given"]


@pytest.mark.parametrize("password", ["", "not-the-password"])
def test_a_wrong_password_keeps_the_ticks(
    submitted: Assessment, chair: Client, at: str, password: str
) -> None:
    page = chair.post(at, {**TICKED, "password": password}).content.decode()
    assert not SignOff.objects.exists()
    assert page.count(" checked") == 4
    assert PASSWORD not in page
    assert ("not your password" in page) is bool(password)


def passkey(client: Client, person: Person, *, seconds_ago: float, again: bool = True) -> None:
    """A passkey as allauth notes it in the session, when signing in or when asked again."""
    request = RequestFactory().get("/")
    request.session, request.user = client.session, person
    more = {"reauthenticated": True} if again else {}
    with time_machine.travel(timezone.now() - timedelta(seconds=seconds_ago)):
        record_authentication(request, person, "mfa", type="webauthn", **more)
    request.session.save()


def test_a_passkey_just_used_stands_for_the_password(
    submitted: Assessment, assessor: Person, chair: Client, at: str
) -> None:
    passkey(chair, assessor, seconds_ago=20)
    page = chair.get(at).content.decode()
    assert "Passkey checked a moment ago" in page
    assert 'type="password"' not in page
    chair.post(at, TICKED)
    assert SignOff.objects.get().method == "passkey"


@pytest.mark.parametrize(("seconds_ago", "again"), [(600, True), (20, False)])
def test_an_old_passkey_or_one_from_the_sign_in_does_not(
    submitted: Assessment, assessor: Person, chair: Client, at: str, seconds_ago: float, again: bool
) -> None:
    passkey(chair, assessor, seconds_ago=seconds_ago, again=again)
    chair.post(at, TICKED)
    assert not SignOff.objects.exists()


@pytest.mark.parametrize("missing", sorted(TICKED))
def test_all_four_statements_are_needed(
    submitted: Assessment, chair: Client, at: str, missing: str
) -> None:
    ticks = {name: value for name, value in TICKED.items() if name != missing}
    page = chair.post(at, {**ticks, "password": PASSWORD}).content.decode()
    assert f"Still open: {missing}" in page
    assert not SignOff.objects.exists()


def test_a_wrong_password_and_an_open_statement_are_said_together(
    submitted: Assessment, chair: Client, at: str
) -> None:
    page = chair.post(at, {"valid": "on", "password": "not-the-password"}).content.decode()
    assert "Still open: sufficient, authentic, current" in page
    assert "not your password" in page
    assert "Two lines need you" in page


def test_the_database_wants_all_four_statements(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    with pytest.raises(IntegrityError, match="four_ticks"), transaction.atomic():
        SignOff.objects.create(
            academy=version.academy,
            apprentice=apprentice,
            assessor=assessor,
            module_version=version,
            method="password",
            valid=True,
            sufficient=True,
            authentic=True,
            current=False,
            in_date_until=timezone.localdate(),
        )


def test_nobody_signs_themselves_off(
    academy: Academy,
    version: ModuleVersion,
    assessor: Person,
    chair: Client,
    url: Callable[..., str],
) -> None:
    MembershipFactory(academy=academy, person=assessor, role=Role.APPRENTICE)
    with pytest.raises(AssessmentError, match="Nobody signs themselves off"):
        sign_on(version, assessor, assessor)
    at = url("signoff-new", person=assessor.token, module=version.module.token)
    chair.post(at, {**TICKED, "password": PASSWORD})
    assert not SignOff.objects.exists()
    with pytest.raises(IntegrityError, match="not_oneself"), transaction.atomic():
        SignOff.objects.create(
            academy=academy,
            apprentice=assessor,
            assessor=assessor,
            module_version=version,
            method="password",
            valid=True,
            sufficient=True,
            authentic=True,
            current=True,
            in_date_until=timezone.localdate(),
        )


def test_the_heads_must_suffice(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match="0 of 1 heads competent in a row"):
        sign_on(version, assessor, apprentice)


def test_a_not_yet_ends_the_row_of_heads(
    version: ModuleVersion, submitted: Assessment, assessor: Person, apprentice: Person
) -> None:
    judged_head(version, assessor, apprentice, level=1, overall=1)
    with pytest.raises(AssessmentError, match="0 of 1 heads"):
        sign_on(version, assessor, apprentice)


def test_two_heads_need_two_days(
    two_heads: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    judged_head(two_heads, assessor, apprentice)
    judged_head(two_heads, assessor, apprentice)
    with pytest.raises(AssessmentError, match="two days are needed"):
        sign_on(two_heads, assessor, apprentice)
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        judged_head(two_heads, assessor, apprentice)
        assert sign_on(two_heads, assessor, apprentice).assessments.count() == 2


def test_the_practice_target_must_be_met(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> None:
    version = publish(academy, educator, "practised", target=3)
    judged_head(version, assessor, apprentice)
    with pytest.raises(AssessmentError, match="Practice still to do: 3 heads"):
        sign_on(version, assessor, apprentice)


def test_linked_papers_must_be_passed(
    version: ModuleVersion,
    submitted: Assessment,
    educator: Person,
    assessor: Person,
    apprentice: Person,
) -> None:
    cohort = CohortFactory(academy=version.academy)
    CohortPlaceFactory(cohort=cohort, person=apprentice)
    wanted = Wanted(
        cohort=cohort,
        title="Diluting a developer",
        parts=[PartWanted("dilute-a-developer", Level.FIRST, 1)],
        seed=51907734,
        module_version=version,
    )
    set_paper(academy=version.academy, by=educator, wanted=wanted)
    with pytest.raises(AssessmentError, match="Not passed yet: Diluting a developer"):
        sign_on(version, assessor, apprentice)


@pytest.mark.parametrize(("pass_share", "passes"), [(50, True), (51, False)])
def test_each_linked_paper_has_its_own_pass_mark(
    version: ModuleVersion,
    submitted: Assessment,
    educator: Person,
    assessor: Person,
    apprentice: Person,
    pass_share: int,
    passes: bool,
) -> None:
    """Half of the questions are answered, all of them right."""
    cohort = CohortFactory(academy=version.academy)
    CohortPlaceFactory(cohort=cohort, person=apprentice)
    wanted = Wanted(
        cohort=cohort,
        title="Diluting a developer",
        parts=[PartWanted("dilute-a-developer", Level.FIRST, 2)],
        seed=51907734,
        pass_share=pass_share,
        module_version=version,
    )
    paper = set_paper(academy=version.academy, by=educator, wanted=wanted)
    sheet = start_sheet(paper=paper, apprentice=apprentice)
    half = {place: text for place, text in right_answers(sheet).items() if place[0] == 1}
    hand_in(sheet=sheet, by=apprentice, answers=half)
    if passes:
        assert sign_on(version, assessor, apprentice).assessments.get() == submitted
    else:
        with pytest.raises(AssessmentError, match="Not passed yet: Diluting a developer"):
            sign_on(version, assessor, apprentice)


def test_no_ruling_may_be_open(
    version: ModuleVersion,
    assessor: Person,
    colleague: Person,
    apprentice: Person,
) -> None:
    judged_head(version, assessor, apprentice)
    disputed = draft_head(version, assessor, apprentice)
    mark_all(disputed, level=4, overall=5)
    sampled = [SecondCause.SAMPLE]
    submit(assessment=disputed, by=assessor, points=[full_boxes()], asked_for=sampled)
    disputed.refresh_from_db()
    second = start_second_mark(first=disputed, assessor=colleague)
    mark_all(second, level=1, overall=1)
    submit(assessment=second, by=colleague, points=[full_boxes()])
    with pytest.raises(AssessmentError, match="second mark or ruling is open"):
        sign_on(version, assessor, apprentice)


def test_no_second_look_may_be_open(
    version: ModuleVersion, submitted: Assessment, assessor: Person, apprentice: Person
) -> None:
    near_the_line(version, assessor, apprentice)
    with pytest.raises(AssessmentError, match="second mark or ruling is open"):
        sign_on(version, assessor, apprentice)


def near_the_line(version: ModuleVersion, assessor: Person, apprentice: Person) -> None:
    draft = draft_head(version, assessor, apprentice)
    criteria = {criterion.code: criterion for criterion in version.criteria.all()}
    for code, zone, level in (("A1", "", 4), ("A2", "crown", 2), ("A2", "nape", 2)):
        set_level(assessment=draft, by=assessor, criterion=criteria[code], zone=zone, level=level)
    set_overall(assessment=draft, by=assessor, rating=3)
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    assert draft.outcome.second_needed


def test_feedback_must_fill_three_boxes_and_may_be_filled_later(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    draft = draft_head(version, assessor, apprentice)
    for criterion in version.criteria.all():
        for zone in version.judged_zones if criterion.scope == "zones" else [""]:
            set_level(assessment=draft, by=assessor, criterion=criterion, zone=zone, level=4)
    set_overall(assessment=draft, by=assessor, rating=5)
    thin = replace(full_boxes(), why="", next_on=None)
    submit(assessment=draft, by=assessor, points=[thin])
    with pytest.raises(AssessmentError, match="fewer than three of four boxes"):
        sign_on(version, assessor, apprentice)
    correct_feedback(
        feedback=draft.feedback.get(), by=assessor, boxes=full_boxes(), reason="the why was missing"
    )
    assert sign_on(version, assessor, apprentice).assessments.get() == draft


def test_the_signer_made_at_least_one_of_the_heads(
    version: ModuleVersion, submitted: Assessment, colleague: Person, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match="You made none of these assessments"):
        sign_on(version, colleague, apprentice)


def test_only_an_assessor_signs(
    version: ModuleVersion, submitted: Assessment, educator: Person, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match="Only an assessor"):
        sign_on(version, educator, apprentice)


def test_an_expired_sign_off_may_be_followed_by_a_new_one(
    version: ModuleVersion, sign_off: SignOff, assessor: Person, apprentice: Person
) -> None:
    with time_machine.travel(timezone.now() + timedelta(days=800)):
        judged_head(version, assessor, apprentice)
        assert sign_on(version, assessor, apprentice) != sign_off


def test_the_page_names_what_is_open_and_offers_no_signature(
    version: ModuleVersion, apprentice: Person, chair: Client, at: str
) -> None:
    page = chair.get(at).content.decode()
    assert "0 of 1 heads competent in a row" in page
    assert 'type="password"' not in page
    assert "disabled" in page


def test_the_decision_shows_its_evidence_and_history(
    sign_off: SignOff, chair: Client, url: Callable[..., str]
) -> None:
    page = chair.get(url("signoff-detail", token=sign_off.token)).content.decode()
    assert "Dilys Okafor-Reed gave the sign-off of Tamsin Orle" in page
    assert "No verifier has looked at it yet" in page


def test_the_record_says_until_when_as_people_write_days(
    sign_off: SignOff, verifier: Person
) -> None:
    due = timezone.localdate() + timedelta(days=9)
    verify(sign_off=sign_off, verifier=verifier, result="action_needed", text="More.", due_on=due)
    entries = history_of("assessment.signoff", sign_off.pk, academy_id=sign_off.academy_id)
    said = " ".join(line.sentence for line in render(entries))
    assert f"in date until {written(sign_off.in_date_until)}" in said
    assert f"by {written(due)}" in said
