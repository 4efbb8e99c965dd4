"""A submission made by mistake: withdrawn by its assessor in time, beside its row, told to all."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
import time_machine
from django.db import IntegrityError, transaction
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, SignOffAssessment, Withdrawal
from academy.assessment.queries import place_of
from academy.assessment.results import Standing
from academy.assessment.services import faults, scoring
from academy.assessment.services.feedback import correct_feedback
from academy.assessment.services.second import start_second_mark
from academy.assessment.services.submitting import acknowledge, submit
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.audit.errors import AuditError
from academy.audit.queries import history_of
from academy.audit.sentences import render
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from academy.curriculum.services import make_rule_set
from tests.site.assessment.places import at_place
from tests.site.making import draft_head, full_boxes, judged_head, mark_all, sign_on, signed_off

if TYPE_CHECKING:
    from django.test import Client

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person

WRONG_HEAD = "levels of another head"


@pytest.fixture
def withdrawn(submitted: Assessment, assessor: Person) -> Assessment:
    withdraw(assessment=submitted, by=assessor, reason=WRONG_HEAD)
    return Assessment.objects.get(pk=submitted.pk)


def test_withdrawing_is_one_row_with_its_reason_and_one_entry_however_often_pressed(
    submitted: Assessment, chair: Client, url: Callable[..., str], entries: Callable[[], list[str]]
) -> None:
    at = url("result-withdraw", token=submitted.token)
    assert "Withdraw this submission?" in chair.get(at).content.decode()
    for _ in range(2):
        chair.post(at, {"reason": WRONG_HEAD})
    row = Withdrawal.objects.get()
    assert (row.assessment, row.reason) == (submitted, WRONG_HEAD)
    assert entries() == ["assessment.assessment.withdrawn"]
    submitted.refresh_from_db()
    assert submitted.state == "submitted"
    assert submitted.outcome.by_marks == "competent"


def test_both_stay_readable_with_the_reason(
    withdrawn: Assessment,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
    signed_in: Callable[[Person], Client],
) -> None:
    at = url("result-detail", token=withdrawn.token)
    for browser in (chair, signed_in(apprentice)):
        page = browser.get(at).content.decode()
        assert "<strong>Withdrawn</strong>" in page
        assert WRONG_HEAD in page
        assert "The head mark is 100 of 100" in page
        assert "laid out within reach" in page
        assert "Submitted by mistake?" not in page


def test_the_apprentice_is_told_on_their_first_page(
    withdrawn: Assessment,
    academy: Academy,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    page = signed_in(apprentice).get(f"/{academy.slug}/").content.decode()
    assert "A result was withdrawn" in page
    assert "A result to read" not in page
    own = signed_in(apprentice).get(url("result-list")).content.decode()
    assert "withdrawn" in own
    assert "not read yet" not in own


@pytest.mark.parametrize("reason", ["", "  ", "w" * 401])
def test_the_reason_is_needed_and_what_was_typed_stays(
    submitted: Assessment, chair: Client, url: Callable[..., str], reason: str
) -> None:
    page = chair.post(url("result-withdraw", token=submitted.token), {"reason": reason})
    assert page.status_code == 200
    assert reason in page.content.decode()
    assert not Withdrawal.objects.exists()


def test_it_can_be_withdrawn_for_thirty_minutes_and_not_longer(
    submitted: Assessment, assessor: Person, chair: Client, url: Callable[..., str]
) -> None:
    assert submitted.submitted_at is not None
    at = url("result-withdraw", token=submitted.token)
    with time_machine.travel(submitted.submitted_at + timedelta(minutes=31)):
        chair.force_login(assessor)
        page = chair.post(at, {"reason": WRONG_HEAD}).content.decode()
        assert "It could be withdrawn until" in page
        sheet = chair.get(url("result-detail", token=submitted.token)).content.decode()
        assert "Submitted by mistake?" not in sheet
    assert not Withdrawal.objects.exists()
    with time_machine.travel(submitted.submitted_at + timedelta(minutes=29)):
        withdraw(assessment=submitted, by=assessor, reason=WRONG_HEAD)


def test_the_minutes_are_a_rule_of_the_academy(
    academy: Academy, educator: Person, version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    make_rule_set(academy=academy, by=educator, changes={"judging.withdraw_minutes": Decimal(0)})
    head = judged_head(version, assessor, apprentice)
    with (
        time_machine.travel(timezone.now() + timedelta(seconds=2)),
        pytest.raises(AssessmentError, match="It could be withdrawn until"),
    ):
        withdraw(assessment=head, by=assessor, reason=WRONG_HEAD)


def test_only_the_assessor_who_submitted_it_withdraws_it(
    submitted: Assessment,
    colleague: Person,
    url: Callable[..., str],
    signed_in: Callable[[Person], Client],
) -> None:
    with pytest.raises(AssessmentError, match="Only the assessor who submitted"):
        withdraw(assessment=submitted, by=colleague, reason=WRONG_HEAD)
    browser = signed_in(colleague)
    for name in ("result-withdraw", "result-again"):
        answer = browser.post(url(name, token=submitted.token), {"reason": WRONG_HEAD})
        assert answer.status_code == 403
    with pytest.raises(IntegrityError, match="a withdrawal stands"), transaction.atomic():
        Withdrawal.objects.create(assessment=submitted, by=colleague, reason=WRONG_HEAD)


def test_a_draft_is_discarded_and_not_withdrawn(draft: Assessment, assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="Only the assessor who submitted"):
        withdraw(assessment=draft, by=assessor, reason=WRONG_HEAD)
    with pytest.raises(IntegrityError, match="a withdrawal stands"), transaction.atomic():
        Withdrawal.objects.create(assessment=draft, by=assessor, reason=WRONG_HEAD)


def test_a_head_on_which_a_sign_off_rests_stands(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    head = signed_off(version, assessor, apprentice).assessments.get()
    with pytest.raises(AssessmentError, match="A sign-off rests on this head"):
        withdraw(assessment=head, by=assessor, reason=WRONG_HEAD)
    with pytest.raises(IntegrityError, match="a withdrawal stands"), transaction.atomic():
        Withdrawal.objects.create(assessment=head, by=assessor, reason=WRONG_HEAD)


def test_a_head_that_a_second_assessor_looks_at_stands(
    version: ModuleVersion, assessor: Person, apprentice: Person, colleague: Person
) -> None:
    head = judged_head(version, assessor, apprentice, level=3, overall=1)
    second = start_second_mark(first=head, assessor=colleague)
    with pytest.raises(AssessmentError, match="second assessor has begun"):
        withdraw(assessment=head, by=assessor, reason=WRONG_HEAD)
    mark_all(second, level=3, overall=3)
    submit(assessment=second, by=colleague, points=[full_boxes()])
    with pytest.raises(AssessmentError, match="would not be blind"):
        withdraw(assessment=second, by=colleague, reason=WRONG_HEAD)


def test_what_was_withdrawn_counts_nowhere(
    version: ModuleVersion,
    withdrawn: Assessment,
    assessor: Person,
    apprentice: Person,
    colleague: Person,
) -> None:
    place = place_of(version.academy, apprentice, version)
    assert place.evidence.heads == []
    assert place.standing is Standing.NOT_STARTED
    with pytest.raises(AssessmentError, match="0 of 1 heads competent"):
        sign_on(version, assessor, apprentice)
    with pytest.raises(AssessmentError, match="withdrawn by its assessor"):
        start_second_mark(first=withdrawn, assessor=colleague)


def test_a_withdrawn_not_yet_does_not_end_the_row_of_heads(
    version: ModuleVersion, submitted: Assessment, assessor: Person, apprentice: Person
) -> None:
    mistake = judged_head(version, assessor, apprentice, level=1, overall=1)
    withdraw(assessment=mistake, by=assessor, reason=WRONG_HEAD)
    assert list(sign_on(version, assessor, apprentice).assessments.all()) == [submitted]


def test_a_sign_off_cannot_name_it_even_in_the_database(
    version: ModuleVersion, assessor: Person, apprentice: Person
) -> None:
    mistake = judged_head(version, assessor, apprentice)
    withdraw(assessment=mistake, by=assessor, reason=WRONG_HEAD)
    row = signed_off(version, assessor, apprentice)
    with pytest.raises(IntegrityError, match="evidence of a sign-off"), transaction.atomic():
        SignOffAssessment.objects.create(sign_off=row, assessment=mistake)


def test_nothing_more_is_said_on_it(
    withdrawn: Assessment, assessor: Person, apprentice: Person
) -> None:
    with pytest.raises(AssessmentError, match="Only the apprentice"):
        acknowledge(assessment=withdrawn, apprentice=apprentice)
    with pytest.raises(AssessmentError, match="who gave this feedback"):
        correct_feedback(
            feedback=withdrawn.feedback.get(), by=assessor, boxes=full_boxes(), reason="x"
        )


def test_a_withdrawal_is_neither_changed_nor_deleted(withdrawn: Assessment) -> None:
    row = withdrawn.withdrawal
    row.reason = "another"
    with pytest.raises(AuditError, match="stands as it is"):
        row.save()
    rows = Withdrawal._base_manager.filter(pk=row.pk)
    with pytest.raises(IntegrityError, match="cannot be changed"), transaction.atomic():
        rows.update(reason="another")
    with pytest.raises(IntegrityError, match="cannot be deleted"), transaction.atomic():
        rows.delete()


def test_a_new_draft_begins_with_its_levels_faults_and_words(
    version: ModuleVersion,
    assessor: Person,
    apprentice: Person,
    chair: Client,
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    draft = draft_head(version, assessor, apprentice)
    mark_all(draft, level=3, overall=4)
    scoring.leave_zone_out(assessment=draft, by=assessor, zone="nape", reason="hair too short")
    faults.place_fault(
        assessment=draft, by=assessor, common="gap", **at_place(zone_centre(Zone.CROWN))
    )
    submit(assessment=draft, by=assessor, points=[full_boxes()])
    withdraw(assessment=draft, by=assessor, reason=WRONG_HEAD)
    entries()
    at = url("result-again", token=draft.token)
    answers = {chair.post(at)["Location"] for _ in range(2)}
    new = Assessment.objects.get(state="draft")
    assert answers == {url("assessment-score", token=new.token)}
    assert entries() == ["assessment.assessment.begun_again"]
    assert new.again_of == draft
    assert (new.started_at, new.overall) == (draft.started_at, 4)
    places = ("criterion", "zone", "level")
    assert list(new.marks.values_list(*places)) == list(draft.marks.values_list(*places))
    assert [row.zone for row in new.zones_left_out.all()] == ["nape"]
    assert [row.words for row in new.fault_marks.all()] == ["gap"]
    assert new.feedback_draft.points[0]["why"] == "laid out within reach"


def test_the_sheet_that_took_its_place_is_named(
    withdrawn: Assessment, assessor: Person, chair: Client, url: Callable[..., str]
) -> None:
    new = begin_again(withdrawn=withdrawn, by=assessor)
    at = url("result-detail", token=withdrawn.token)
    assert "Go on with the new draft" in chair.get(at).content.decode()
    submit(assessment=new, by=assessor, points=[full_boxes()])
    page = chair.get(at).content.decode()
    assert url("result-detail", token=new.token) in page
    assert "Go on with the new draft" not in page


def test_only_a_withdrawn_head_is_begun_again(submitted: Assessment, assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="who withdrew this head"):
        begin_again(withdrawn=submitted, by=assessor)


def test_the_record_tells_it_in_a_sentence(withdrawn: Assessment) -> None:
    lines = render(
        history_of("assessment.assessment", withdrawn.pk, academy_id=withdrawn.academy_id)
    )
    assert lines[0].sentence == (
        "Dilys Okafor-Reed withdrew the assessment of Tamsin Orle in The coverage module, "
        "submitted by mistake; by the marks it was competent"
    )


def test_the_list_of_heads_shows_what_was_withdrawn_apart(
    withdrawn: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    at = url("assessment-list")
    assert "Tamsin Orle" in chair.get(at, {"only": "withdrawn"}).content.decode()
    assert "No head fits" in chair.get(at, {"only": "unread"}).content.decode()
