"""Touches that come from the outbox of a device: once each, in order, never over a newer one."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given, strategies as st

from academy.assessment.editions import edition_of
from academy.assessment.mark_text import MarkText
from academy.assessment.models import Assessment
from academy.assessment.services import scoring
from academy.assessment.services.touching import KEYS_KEPT
from academy.assessment.standing import standing
from academy.web.tokens import new_token

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Person

SESSION_AND_RIGHTS = ("django_session", "people_person", "people_academy", "people_membership")
TWO_PLACES = [("level-A2-crown", "3"), ("level-A1-", "4")]


def touch(place: str, value: str, was: str = "", key: str = "") -> dict[str, str]:
    return {"key": key or new_token(), "place": place, "value": value, "was": was}


def levels(draft: Assessment) -> dict[tuple[str, str], int]:
    return {(mark.criterion.code, mark.zone): mark.level for mark in draft.marks.all()}


@pytest.fixture
def send(chair: Client, draft: Assessment, url: Callable[..., str]) -> Callable[..., Any]:
    """`send(touch(…), …)`: what a device sends at once, and what it is told."""
    at = url("assessment-touches", token=draft.token)

    def post(*touches: dict[str, str], rev: int | None = None) -> Any:
        data = {"touches": json.dumps(touches)} | ({} if rev is None else {"rev": rev})
        answer = chair.post(at, data)
        return answer.json() | {"status": answer.status_code}

    return post


@pytest.fixture
def elsewhere(draft: Assessment, assessor: Person) -> Callable[[str, str, int], None]:
    """`elsewhere("A2", "crown", 1)`: a level that is given on another device."""

    def give(code: str, zone: str, level: int) -> None:
        there = Assessment.objects.for_touch().get(pk=draft.pk)
        criterion = there.module_version.criteria.get(code=code)
        scoring.set_level(
            assessment=there, by=assessor, criterion=criterion, zone=zone, level=level
        )

    return give


def states(told: Any) -> list[str]:
    return [one["state"] for one in told["touches"]]


def test_touches_are_kept_in_the_order_they_were_made(
    send: Callable[..., Any], draft: Assessment
) -> None:
    told = send(
        touch("level-A2-crown", "3"),
        touch("level-A2-crown", "1", was="3"),
        touch("level-A1-", "4"),
        touch("overall", "2"),
        touch("minutes_used", "44"),
        touch("note", " Calm.\nEven. "),
    )
    assert states(told) == ["kept"] * 6
    draft.refresh_from_db()
    assert levels(draft) == {("A2", "crown"): 1, ("A1", ""): 4}
    assert (draft.overall, draft.minutes_used, draft.note) == (2, 44, "Calm.\nEven.")
    assert told["revision"] == draft.revision == 6


def test_a_touch_that_got_no_answer_and_is_sent_again_is_kept_once(
    send: Callable[..., Any], draft: Assessment
) -> None:
    again = touch("level-A2-crown", "3")
    send(again)
    told = send(again)
    assert states(told) == ["kept"]
    draft.refresh_from_db()
    assert draft.revision == told["revision"] == 1


def test_a_touch_sent_again_does_not_undo_what_came_after_it(
    send: Callable[..., Any], draft: Assessment
) -> None:
    """Even where the place looks as it did when the touch was made."""
    first = touch("level-A2-crown", "3")
    send(first)
    send(touch("level-A2-crown", "", was="3"))
    assert states(send(first)) == ["kept"]
    assert levels(draft) == {}


def test_an_old_level_never_overwrites_a_newer_one_of_another_device(
    send: Callable[..., Any], draft: Assessment, elsewhere: Callable[..., None]
) -> None:
    elsewhere("A2", "crown", 1)
    told = send(touch("level-A2-crown", "3"), touch("level-A1-", "4"), rev=0)
    assert states(told) == ["stale", "kept"]
    assert told["touches"][0]["words"] == "1"
    assert told["elsewhere"] is True
    assert levels(draft) == {("A2", "crown"): 1, ("A1", ""): 4}
    # Decided on what stands, it is kept.
    assert states(send(touch("level-A2-crown", "3", was="1"))) == ["kept"]
    assert levels(draft)["A2", "crown"] == 3


def test_the_same_level_on_two_devices_is_no_question(
    send: Callable[..., Any], elsewhere: Callable[..., None]
) -> None:
    elsewhere("A2", "crown", 3)
    assert states(send(touch("level-A2-crown", "3"))) == ["kept"]


@pytest.mark.parametrize(
    ("place", "value", "other"), [("overall", "2", "4"), ("note", "mine", "theirs")]
)
def test_an_old_rating_or_note_is_compared_too(
    send: Callable[..., Any], draft: Assessment, place: str, value: str, other: str
) -> None:
    send(touch(place, other))
    told = send(touch(place, value))
    assert states(told) == ["stale"]
    assert told["touches"][0]["words"] == other
    draft.refresh_from_db()
    assert str(getattr(draft, place)) == other
    assert draft.revision == told["revision"] == 1


def test_a_note_that_a_form_sent_with_its_own_line_ends_is_not_taken_for_another(
    send: Callable[..., Any], draft: Assessment, chair: Client, url: Callable[..., str]
) -> None:
    chair.post(url("assessment-notes", token=draft.token), {"note": "Calm.\r\nEven."})
    assert states(send(touch("note", "Calm.", was="Calm.\nEven."))) == ["kept"]


def test_a_zone_is_left_out_and_taken_in_again(send: Callable[..., Any], draft: Assessment) -> None:
    told = send(
        touch("level-A2-nape", "2"),
        touch("zone-nape", "hair too short", was="levels:A2=2"),
        touch("level-A2-nape", "2"),
        touch("zone-nape", "", was="hair too short"),
        touch("level-A2-nape", "4"),
    )
    assert states(told) == ["kept", "kept", "refused", "kept", "kept"]
    assert "left out today" in told["touches"][2]["words"]
    assert levels(draft) == {("A2", "nape"): 4}
    assert not draft.zones_left_out.exists()


def test_a_zone_is_not_left_out_over_levels_the_device_did_not_know(
    send: Callable[..., Any], draft: Assessment, elsewhere: Callable[..., None]
) -> None:
    elsewhere("A2", "nape", 2)
    told = send(touch("zone-nape", "hair too short"))
    assert states(told) == ["stale"]
    assert told["touches"][0]["words"] == "levels:A2=2"
    assert levels(draft) == {("A2", "nape"): 2}


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        ("level-A2-crown", "5", "Levels go from 0 to 4"),
        ("level-A2-crown", "\u00b2", "Levels go from 0 to 4"),
        ("level-A9-crown", "3", "does not belong to the module"),
        ("level-A2-fringe", "3", "not judged in this module"),
        ("overall", "6", "from 1 to 5"),
        ("minutes_used", "ten", "for example 55"),
        ("minutes_used", "9999", "from 0 to 720"),
        ("note", "x" * 2001, "2000 fit"),
        ("zone-fringe", "short", "not judged in this module"),
        ("state", "submitted", "not on the head"),
    ],
)
def test_a_touch_that_cannot_be_is_refused_with_a_sentence_and_the_others_are_kept(
    send: Callable[..., Any], draft: Assessment, place: str, value: str, sentence: str
) -> None:
    told = send(touch(place, value), touch("level-A1-", "4"))
    assert states(told) == ["refused", "kept"]
    assert sentence in told["touches"][0]["words"]
    assert levels(draft) == {("A1", ""): 4}
    draft.refresh_from_db()
    assert told["revision"] == draft.revision == 1


@pytest.mark.parametrize("text", ["", "{}", "[1]", '[{"key": "short"}]', "[[]]"])
def test_what_is_no_list_of_touches_is_not_read(
    chair: Client, draft: Assessment, url: Callable[..., str], text: str
) -> None:
    answer = chair.post(url("assessment-touches", token=draft.token), {"touches": text})
    assert answer.status_code == 400
    assert "were not read" in answer.json()["refused"]


def test_after_the_submission_nothing_is_taken(
    chair: Client, submitted: Assessment, url: Callable[..., str]
) -> None:
    sent = {"touches": json.dumps([touch("level-A2-crown", "1", was="4")])}
    answer = chair.post(url("assessment-touches", token=submitted.token), sent)
    assert answer.status_code == 409
    assert "submitted and stands" in answer.json()["refused"]
    assert levels(submitted)["A2", "crown"] == 4


def test_another_persons_box_is_not_taken(
    draft: Assessment,
    colleague: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at = url("assessment-touches", token=draft.token)
    sent = {"touches": json.dumps([touch("level-A1-", "4")])}
    assert signed_in(colleague).post(at, sent).status_code == 404
    assert signed_in(apprentice).post(at, sent).status_code == 403
    assert levels(draft) == {}


@pytest.mark.parametrize(("place", "value"), [*TWO_PLACES, ("overall", "2"), ("note", "Calm.")])
def test_saving_one_touch_asks_at_most_six_questions(
    send: Callable[..., Any], draft: Assessment, place: str, value: str
) -> None:
    edition_of(draft.module_version)
    for other in (value, "1"):
        was = standing(Assessment.objects.get(pk=draft.pk), place)
        with CaptureQueriesContext(connection) as asked:
            assert states(send(touch(place, other, was=was))) == ["kept"]
        own = [
            query["sql"]
            for query in asked.captured_queries
            if not query["sql"].startswith(("SAVEPOINT", "RELEASE"))
            and not any(f'FROM "{table}"' in query["sql"] for table in SESSION_AND_RIGHTS)
        ]
        assert len(own) <= 6, own


def test_a_draft_remembers_only_the_newest_touches(
    send: Callable[..., Any], draft: Assessment
) -> None:
    sent = [
        touch("level-A1-", str((n + 1) % 5), was="" if n == 0 else str(n % 5))
        for n in range(KEYS_KEPT + 2)
    ]
    assert {*states(send(*sent[:50])), *states(send(*sent[50:]))} == {"kept"}
    draft.refresh_from_db()
    assert draft.touch_keys == [one["key"] for one in sent[2:]]
    assert levels(draft) == {("A1", ""): (KEYS_KEPT + 2) % 5}


MARK, MARKED = f"fault-{'m' * 22}", "3 -180 40.25 gap by the parting"


def test_a_mark_is_placed_moved_renamed_and_taken_off_in_order(
    send: Callable[..., Any], draft: Assessment
) -> None:
    moved = MARKED.replace("40.25", "38.1")
    assert states(send(touch(MARK, MARKED), touch(MARK, moved, was=MARKED))) == ["kept"] * 2
    mark = draft.fault_marks.get()
    assert (mark.number, mark.common, mark.note, mark.zone) == (3, "gap", "by the parting", "crown")
    assert (float(mark.azimuth_deg), float(mark.elevation_deg)) == (-180, 38.1)
    named = moved.replace("gap", "bleed")
    assert states(send(touch(MARK, named, was=moved))) == ["kept"]
    assert standing(Assessment.objects.get(pk=draft.pk), MARK) == named
    assert states(send(touch(MARK, "", was=named))) == ["kept"]
    assert not draft.fault_marks.exists()


def test_a_mark_that_got_no_answer_and_is_sent_again_is_one(
    send: Callable[..., Any], draft: Assessment
) -> None:
    again = touch(MARK, MARKED)
    send(again)
    assert states(send(again)) == ["kept"]
    # Even where the touch is another one.
    assert states(send(touch(MARK, MARKED))) == ["kept"]
    assert draft.fault_marks.count() == draft.fault_marks.get().number - 2 == 1


def test_a_mark_brought_back_has_its_number_unless_another_took_it(
    send: Callable[..., Any], draft: Assessment
) -> None:
    other = f"fault-{'o' * 22}"
    send(touch(MARK, MARKED), touch(MARK, "", was=MARKED), touch(other, MARKED))
    assert states(send(touch(MARK, MARKED))) == ["kept"]
    numbers = {mark.client_key[0]: mark.number for mark in draft.fault_marks.all()}
    assert numbers == {"o": 3, "m": 4}
    # The device goes by the old number until it sees the new one: no question.
    assert states(send(touch(MARK, "", was=MARKED))) == ["kept"]


def test_a_mark_moved_on_another_device_is_compared(
    send: Callable[..., Any], draft: Assessment
) -> None:
    moved = MARKED.replace("40.25", "38.1")
    send(touch(MARK, MARKED), touch(MARK, moved, was=MARKED))
    told = send(touch(MARK, f"{MARKED} again", was=MARKED))
    assert states(told) == ["stale"]
    assert told["touches"][0]["words"] == moved
    assert draft.fault_marks.get().note == "by the parting"


@pytest.mark.parametrize(
    ("place", "value", "sentence"),
    [
        (MARK, "gap", "was not read"),
        (MARK, "3 200 40 gap", "was not read"),
        (MARK, "0 1 40 gap", "was not read"),
        (MARK, "3 nan 40 gap", "was not read"),
        ("fault-x", MARKED, "was not read"),
        (MARK, "3 0 -80 gap", "beside the hair"),
        (MARK, "3 -180 40.25 bad-hair-day", "Choose which fault"),
        (MARK, "3 -180 40.25 own-9", "Choose which fault"),
        (MARK, f"{MARKED}{'x' * 200}", "200 fit"),
    ],
)
def test_a_mark_that_cannot_be_is_refused_with_a_sentence(
    send: Callable[..., Any], draft: Assessment, place: str, value: str, sentence: str
) -> None:
    told = send(touch(place, value))
    assert states(told) == ["refused"]
    assert sentence in told["touches"][0]["words"]
    assert not draft.fault_marks.exists()


@given(
    st.integers(1, 999),
    st.floats(-180, 180),
    st.floats(-90, 90),
    st.text(st.characters(codec="ascii", exclude_categories=["C"]), max_size=20),
)
def test_the_text_of_a_mark_is_read_as_it_was_written(
    number: int, azimuth: float, elevation: float, note: str
) -> None:
    mark = MarkText(number, round(azimuth, 2), round(elevation, 2), "gap", note.strip())
    assert MarkText.read(mark.written) == mark
