"""Touches at the chair: each is kept by itself, none is an entry in the record."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, Mark
from academy.assessment.services import scoring
from academy.assessment.services.faults import place_fault
from academy.craft.head.sheet import zone_centre
from academy.craft.head.zones import Zone
from tests.site.assessment.places import at_place
from tests.site.making import draft_head, full_boxes, publish

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


def levels(draft: Assessment) -> dict[tuple[str, str], int]:
    return {(mark.criterion.code, mark.zone): mark.level for mark in draft.marks.all()}


@pytest.fixture
def press(chair: Client, draft: Assessment, url: Callable[..., str]) -> Callable[..., Any]:
    """`press({"level-A2-crown": 3})`: a form, as it goes without script."""
    at = url("assessment-level", token=draft.token) + "?zone=crown&view=top"

    def post(data: dict[str, object]) -> Any:
        return chair.post(at, data)

    return post


def test_without_script_all_levels_of_the_form_are_kept_and_the_zone_comes_back(
    press: Callable[..., Any], draft: Assessment
) -> None:
    answer = press({"level-A2-crown": 3, "level-A1-": 4})
    assert answer.status_code == 302
    assert answer["Location"].endswith("?zone=crown&view=top")
    assert levels(draft) == {("A2", "crown"): 3, ("A1", ""): 4}


def test_one_wrong_level_in_a_form_keeps_none_of_it(
    press: Callable[..., Any], draft: Assessment
) -> None:
    press({"level-A2-crown": 3, "level-A1-": 5})
    assert levels(draft) == {}


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("level-A2-crown", "5", "Levels go from 0 to 4"),
        ("level-A2-crown", "x", "Levels go from 0 to 4"),
        ("level-A2-crown", "-1", "Levels go from 0 to 4"),
        ("level-A2-crown", "\u00b2", "Levels go from 0 to 4"),
        ("level-A9-crown", "3", "does not belong to the module"),
        ("level-A2-fringe", "3", "not judged in this module"),
        ("level-A2-", "3", "not judged in this module"),
        ("level-A1-crown", "3", "judged once for the whole head"),
    ],
)
def test_a_level_that_cannot_be_says_so(
    press: Callable[..., Any], draft: Assessment, name: str, value: str, sentence: str
) -> None:
    assert sentence in press({name: value}).content.decode()
    assert levels(draft) == {}


def test_a_criterion_of_another_module_is_refused(
    academy: Academy, educator: Person, draft: Assessment, assessor: Person
) -> None:
    other = publish(academy, educator, "other")
    with pytest.raises(AssessmentError, match="another module"):
        scoring.set_level(
            assessment=draft, by=assessor, criterion=other.criteria.get(), zone="", level=3
        )


def test_a_level_is_taken_back(press: Callable[..., Any], draft: Assessment) -> None:
    press({"level-A2-crown": 3})
    press({"clear": "level-A2-crown"})
    assert levels(draft) == {}


def test_touches_are_not_entries_in_the_record(
    press: Callable[..., Any], draft: Assessment, entries: Callable[[], list[str]]
) -> None:
    press({"level-A2-crown": 3})
    press({"clear": "level-A2-crown"})
    assert entries() == []


def test_a_form_without_script_from_a_stale_page_is_not_kept(
    press: Callable[..., Any], draft: Assessment
) -> None:
    press({"level-A2-crown": 3, "seen": 0})
    answer = press({"level-A2-crown": 1, "seen": 0})
    assert levels(draft) == {("A2", "crown"): 3}
    assert "this form was not kept" in answer.content.decode()


def test_a_zone_left_out_meanwhile_takes_no_level(draft: Assessment, assessor: Person) -> None:
    here = Assessment.objects.for_touch().get(pk=draft.pk)
    there = Assessment.objects.for_touch().get(pk=draft.pk)
    scoring.leave_zone_out(assessment=there, by=assessor, zone="nape", reason="hair too short")
    criterion = here.module_version.criteria.get(code="A2")
    with pytest.raises(AssessmentError, match="left out today"):
        scoring.set_level(assessment=here, by=assessor, criterion=criterion, zone="nape", level=3)
    assert not Mark.objects.filter(assessment=draft).exists()


def test_a_form_after_the_submission_says_that_it_stands(
    submitted: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    at = url("assessment-level", token=submitted.token)
    page = chair.post(at, {"level-A2-crown": 1}, follow=True).content.decode()
    assert "submitted and stands" in page
    assert levels(submitted)["A2", "crown"] == 4


def test_a_draft_submitted_between_reading_and_writing_takes_no_level(
    version: ModuleVersion, assessor: Person, apprentice: Person, submitted: Assessment
) -> None:
    stale = Assessment.objects.get(pk=submitted.pk)
    stale.state = Assessment.State.DRAFT
    criterion = version.criteria.get(code="A1")
    with pytest.raises(AssessmentError, match="submitted and stands"):
        scoring.set_level(assessment=stale, by=assessor, criterion=criterion, zone="", level=0)
    assert levels(submitted)["A1", ""] == 4


def test_a_discarded_draft_takes_no_touch(draft: Assessment, assessor: Person) -> None:
    stale = Assessment.objects.get(pk=draft.pk)
    scoring.discard_draft(assessment=draft, by=assessor)
    with pytest.raises(AssessmentError, match="discarded meanwhile"):
        scoring.set_overall(assessment=stale, by=assessor, rating=3)


def test_after_a_lost_session_a_form_leads_back_to_its_zone_and_says_so(
    draft: Assessment, assessor: Person, url: Callable[..., str]
) -> None:
    at = url("assessment-level", token=draft.token) + "?zone=nape&view=back"
    out = Client()
    sign_in = out.post(at, {"level-A2-nape": 3})
    assert "/account/login/?next=" in sign_in["Location"]
    out.force_login(assessor)
    back = out.get(at, follow=True)
    assert back.redirect_chain[-1][0].endswith("?zone=nape&view=back&lost=1")
    assert "the last touch was not kept" in back.content.decode()
    assert levels(draft) == {}


def test_the_page_stays_small_with_all_rows_and_six_heads(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    page = chair.get(url("assessment-score", token=draft.token)).content
    assert len(gzip.compress(page)) < 15_000
    assert page.count(b"<svg xmlns") == 6


@pytest.mark.parametrize("value", ["0", "6", "x", ""])
def test_a_rating_that_does_not_exist_is_refused(
    chair: Client, draft: Assessment, url: Callable[..., str], value: str
) -> None:
    at = url("assessment-overall", token=draft.token)
    answer = chair.post(at, {"overall": value})
    assert "from 1 to 5" in answer.content.decode()
    draft.refresh_from_db()
    assert draft.overall is None


def test_the_overall_rating_is_kept_before_any_sum_is_shown(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("assessment-overall", token=draft.token)
    page = chair.post(at, {"overall": "4"}, follow=True).content.decode()
    draft.refresh_from_db()
    assert draft.overall == 4
    assert "of 100" not in page


@pytest.mark.parametrize(
    ("minutes", "sentence"),
    [("-1", "Too low"), ("9999", "Too high"), ("ten", "for example 55"), ("1.5", "for example 55")],
)
def test_minutes_that_cannot_be_are_refused_and_stay_typed(
    chair: Client, draft: Assessment, url: Callable[..., str], minutes: str, sentence: str
) -> None:
    at = url("assessment-notes", token=draft.token)
    page = chair.post(at, {"minutes_used": minutes, "note": "Calm."}).content.decode()
    assert sentence in page
    assert f'value="{minutes}"' in page
    draft.refresh_from_db()
    assert (draft.minutes_used, draft.note) == (None, "")


def test_minutes_and_note_are_kept(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    chair.post(url("assessment-notes", token=draft.token), {"minutes_used": "44", "note": " Calm "})
    draft.refresh_from_db()
    assert (draft.minutes_used, draft.note) == (44, "Calm")


def test_a_zone_is_left_out_with_its_reason_and_taken_in_again(
    chair: Client, press: Callable[..., Any], draft: Assessment, url: Callable[..., str]
) -> None:
    press({"level-A2-nape": 3})
    at = url("zone-out", token=draft.token) + "?zone=nape"
    refused = chair.post(at, {"reason": " "}).content.decode()
    assert "This is needed" in refused
    chair.post(at, {"reason": "hair too short there"})
    assert draft.zones_left_out.get().reason == "hair too short there"
    assert levels(draft) == {}
    chair.post(at, {"take_in": "1"})
    assert not draft.zones_left_out.exists()


def test_a_zone_that_is_not_judged_cannot_be_left_out(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("zone-out", token=draft.token) + "?zone=fringe"
    page = chair.post(at, {"reason": "short"}).content.decode()
    assert "not judged in this module" in page
    assert not draft.zones_left_out.exists()


def test_a_stop_event_asks_once_more_ends_the_marking_and_can_be_taken_back(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("assessment-stop", token=draft.token)
    assert "Stop this head for safety?" in chair.get(at).content.decode()
    assert "Nothing chosen yet" in chair.post(at, {}).content.decode()
    page = chair.post(at, {"event": "no-gloves"}, follow=True).content.decode()
    assert "Stopped for safety" in page
    assert "Nothing is missing" in page
    assert "levels" not in page.split('id="notes"')[0].split('id="desk"')[1]
    chair.post(at, {"resume": "1"})
    draft = Assessment.objects.get(pk=draft.pk)
    assert not hasattr(draft, "stop_event")


def test_an_unknown_stop_event_is_refused(draft: Assessment, assessor: Person) -> None:
    with pytest.raises(AssessmentError, match="one of the stop events"):
        scoring.stop_head(assessment=draft, by=assessor, event="bad-mood")


def test_feedback_in_the_making_is_a_touch_too(draft: Assessment, assessor: Person) -> None:
    before = draft.revision
    scoring.keep_feedback_draft(assessment=draft, by=assessor, points=[full_boxes()])
    draft.refresh_from_db()
    assert draft.revision == before + 1
    assert draft.feedback_draft.points[0]["why"] == "laid out within reach"


def test_opening_the_page_writes_nothing(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    chair.get("/")
    with CaptureQueriesContext(connection) as asked:
        chair.get(url("assessment-score", token=draft.token))
    assert not [
        query["sql"]
        for query in asked.captured_queries
        if query["sql"].startswith(("INSERT", "UPDATE", "DELETE"))
    ]


def test_the_next_gap_stays_in_the_zone_in_hand(
    chair: Client, press: Callable[..., Any], draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("assessment-score", token=draft.token)
    page = chair.get(at + "?zone=nape").content.decode()
    assert f'href="{at}?zone=nape&amp;view=&amp;row=A2-nape#crit-A2-nape"' in page
    page = chair.get(at + "?zone=unheard-of&view=below").content.decode()
    assert f'href="{at}?zone=crown&amp;view=&amp;row=A2-crown#crit-A2-crown"' in page


def test_another_assessors_draft_is_not_found(
    draft: Assessment,
    colleague: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    other = signed_in(colleague)
    assert other.get(url("assessment-score", token=draft.token)).status_code == 404
    at = url("assessment-level", token=draft.token)
    assert other.post(at, {"level-A1-": 4}).status_code == 404
    assert levels(draft) == {}


def test_only_the_assessor_who_began_marks_in_the_draft(
    draft: Assessment, colleague: Person
) -> None:
    criterion = draft.module_version.criteria.get(code="A1")
    with pytest.raises(AssessmentError, match="who began this draft"):
        scoring.set_level(assessment=draft, by=colleague, criterion=criterion, zone="", level=4)


def test_the_page_asks_the_same_number_of_questions_with_many_faults_and_levels(
    chair: Client, version: ModuleVersion, draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("assessment-score", token=draft.token)
    chair.get(at)
    with CaptureQueriesContext(connection) as few:
        chair.get(at)
    for _ in range(12):
        place_fault(
            assessment=draft, by=draft.assessor, common="gap", **at_place(zone_centre(Zone.CROWN))
        )
    with CaptureQueriesContext(connection) as many:
        chair.get(at)
    assert len(many) == len(few)


def test_the_draft_of_the_same_head_comes_back(
    version: ModuleVersion, assessor: Person, apprentice: Person, draft: Assessment
) -> None:
    assert draft_head(version, assessor, apprentice) == draft
