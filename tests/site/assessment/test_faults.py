"""Faults on the head: placed by a tap in every view, moved, renamed, taken off."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings, strategies as st

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Assessment, FaultMark
from academy.assessment.score_page import place_of
from academy.assessment.services import faults
from academy.craft.head.sheet import VIEWS, Place, locate, nudge, place, zone_centre
from academy.craft.head.zones import Zone
from tests.site.assessment.places import at_place
from tests.site.making import publish

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

CROWN = zone_centre(Zone.CROWN)


@pytest.fixture
def mark(draft: Assessment, assessor: Person) -> FaultMark:
    return faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))


@pytest.mark.parametrize(
    ("view", "u", "v"),
    [("left", 40, 40), ("front", 0, 70), ("right", -40, 60), ("top", 10, -40), ("back", 10, 0)],
)
def test_a_tap_marks_the_fault_where_it_was_seen(
    chair: Client, draft: Assessment, url: Callable[..., str], view: str, u: float, v: float
) -> None:
    at = url("fault-new", token=draft.token) + f"?zone=crown&view={view}"
    answer = chair.post(at, {"fault": "gap", "view": view, "u": u, "v": v, "note": "two foils"})
    mark = draft.fault_marks.get()
    seen = place(view, float(mark.azimuth_deg), float(mark.elevation_deg))
    assert seen[:2] == pytest.approx((u, v), abs=0.5)
    assert (mark.number, mark.common, mark.note) == (1, "gap", "two foils")
    assert answer["Location"].endswith(f"?zone={mark.zone}&view={view}")


def test_without_a_tap_the_fault_lies_in_the_middle_of_the_zone(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    chair.post(url("fault-new", token=draft.token), {"fault": "gap", "zone": "nape"})
    assert place_of(draft.fault_marks.get()) == zone_centre(Zone.NAPE)


def test_the_button_for_the_middle_forgets_an_earlier_tap(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    tap = {"view": "top", "u": 0, "v": 0}
    chair.post(
        url("fault-new", token=draft.token), {"fault": "gap", "zone": "nape", "middle": "1", **tap}
    )
    assert draft.fault_marks.get().zone == "nape"


def test_a_tap_before_the_fault_is_chosen_keeps_the_place(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    tap = {"view": "top", "u": 0, "v": -20}
    page = chair.post(url("fault-new", token=draft.token), tap).content.decode()
    assert not draft.fault_marks.exists()
    assert "Nothing chosen yet" in page
    assert "Mark it there" in page
    assert "Fault 1: to be named" in page


@pytest.mark.parametrize(
    "tap", [{"u": 108, "v": -98}, {"u": 1e9, "v": 0}, {"view": "front", "u": 0, "v": -40}]
)
def test_a_tap_beside_the_hair_is_refused(
    chair: Client, draft: Assessment, url: Callable[..., str], tap: dict[str, object]
) -> None:
    data = {"fault": "gap", "zone": "crown", "view": "top", **tap}
    page = chair.post(url("fault-new", token=draft.token), data).content.decode()
    assert "beside the hair" in page
    assert not draft.fault_marks.exists()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"fault": "gap"}, "Tap the head, or choose the zone"),
        ({"fault": "bad-hair-day", "zone": "crown"}, "not on the list"),
        ({"fault": "own-9", "zone": "crown"}, "not on the list"),
        ({"fault": "gap", "zone": "moon"}, "not on the list"),
        ({"fault": "gap", "zone": "crown", "note": "n" * 201}, "Too long"),
        ({"fault": "gap", "view": "top", "u": "nan", "v": "1"}, "That tap was not read"),
    ],
)
def test_a_fault_that_cannot_be_is_refused(
    chair: Client,
    draft: Assessment,
    url: Callable[..., str],
    data: dict[str, str],
    sentence: str,
) -> None:
    page = chair.post(url("fault-new", token=draft.token), data).content.decode()
    assert sentence in page
    assert not draft.fault_marks.exists()


def test_an_arrow_moves_the_mark_by_5_mm_in_the_view_in_hand(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.token) + "?view=back"
    chair.post(at, {"move": "left"})
    mark.refresh_from_db()
    assert place_of(mark) == nudge(CROWN, 0, -5, view="back")
    assert place_of(mark) != nudge(CROWN, 0, -5, view="top")


@pytest.mark.parametrize("move", ["", "sideways"])
def test_an_unknown_direction_moves_nothing(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str], move: str
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.token)
    assert "up, down, left or right" in chair.post(at, {"move": move}).content.decode()
    mark.refresh_from_db()
    assert place_of(mark) == CROWN


def test_a_mark_does_not_leave_the_hair(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.token) + "?view=front"
    # Further than any head is high; the last ones are refused.
    answers = [chair.post(at, {"move": "down"}) for _ in range(40)]
    mark.refresh_from_db()
    assert place_of(mark).zone is not None
    assert "another" in answers[-1].content.decode()


def test_a_mark_is_called_something_else_and_taken_off(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.token)
    page = chair.post(at, {"change": "1", "fault": "bleed", "note": "foil 35"}, follow=True)
    assert "foil 35" in page.content.decode()
    mark.refresh_from_db()
    assert (mark.common, mark.note) == ("bleed", "foil 35")
    chair.post(at, {"remove": "1"})
    assert not draft.fault_marks.exists()


def test_numbers_stay_when_another_mark_is_taken_off(
    draft: Assessment, assessor: Person, mark: FaultMark
) -> None:
    faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))
    faults.remove_fault(mark=mark, by=assessor)
    third = faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))
    assert third.number == 3


def test_a_head_takes_forty_marks(draft: Assessment, assessor: Person) -> None:
    for _ in range(faults.MOST_FAULTS):
        faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))
    with pytest.raises(AssessmentError, match="40 marks"):
        faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))


def test_a_fault_of_another_module_is_refused(
    academy: Academy, educator: Person, draft: Assessment, assessor: Person, mark: FaultMark
) -> None:
    other = publish(academy, educator, "other")
    foreign = other.faults.model(version=other, position=1, fault="wedge")
    with pytest.raises(AssessmentError, match="another module"):
        faults.change_fault(mark=mark, by=assessor, fault=foreign, common="", note="")


def test_a_mark_of_another_head_is_not_found(
    chair: Client, mark: FaultMark, submitted: Assessment, url: Callable[..., str]
) -> None:
    wrong = url("fault-change", token=submitted.token, fault="x" * 22)
    assert chair.post(wrong, {"remove": "1"}).status_code in (302, 404)
    assert FaultMark.objects.filter(pk=mark.pk).exists()


def test_a_place_must_lie_in_the_zone_it_is_said_to(draft: Assessment, assessor: Person) -> None:
    wrong = {**at_place(CROWN), "zone": Zone.NAPE}
    with pytest.raises(AssessmentError, match="lies in the zone crown, not nape"):
        faults.place_fault(assessment=draft, by=assessor, common="gap", **wrong)


@settings(max_examples=60, deadline=None)
@given(
    view=st.sampled_from(VIEWS),
    u=st.floats(-120, 120),
    v=st.floats(-120, 120),
)
def test_every_tap_is_on_the_hair_on_skin_or_beside_the_head(view: str, u: float, v: float) -> None:
    at = locate(view, u, v)
    if at is not None and at.zone is not None:
        assert Place.at(at.azimuth_deg, at.elevation_deg) == at


def test_faults_to_choose_from_are_whole_words_with_a_capital(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    page = chair.get(url("assessment-score", token=draft.token) + "?mark=fault").content.decode()
    assert ">Uneven parting</option>" in page
    assert ">Slipped foil</option>" in page
    assert ">uneven" not in page


def test_the_overall_rating_asks_about_the_head(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    page = chair.get(url("assessment-score", token=draft.token)).content.decode()
    assert "How sound is this head, all in all?" in page
