"""Faults on the head: placed by a tap in every view, moved, renamed, taken off."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings, strategies as st

from academy.assessment.editions import edition_of
from academy.assessment.errors import AssessmentError
from academy.assessment.mark_text import MarkText, mark_text
from academy.assessment.models import Assessment, FaultMark
from academy.assessment.score_head import place_of
from academy.assessment.services import faults
from academy.craft.head.shape import MALE_MEAN
from academy.craft.head.sheet import VIEWS, Place, locate, nudge, place, zone_centre
from academy.craft.head.svg_faults import SEEN_FROM
from academy.craft.head.zones import Zone, zones_of
from tests.site.assessment.places import at_place
from tests.site.making import publish

if TYPE_CHECKING:
    from django.test import Client

    from academy.people.models import Academy, Person

CROWN = zone_centre(Zone.CROWN)
KEY = "k" * 22


@pytest.fixture
def mark(draft: Assessment, assessor: Person) -> FaultMark:
    return faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(CROWN))


@pytest.fixture
def change(draft: Assessment, url: Callable[..., str]) -> Callable[..., str]:
    """`change(mark, "view=back")`: where a mark of the draft is changed."""

    def at(mark: FaultMark, query: str = "zone=crown&view=back") -> str:
        return url("fault-change", token=draft.token, fault=mark.client_key) + f"?{query}"

    return at


def angles(mark: FaultMark) -> tuple[float, float]:
    return float(mark.azimuth_deg), float(mark.elevation_deg)


@pytest.mark.parametrize(
    ("view", "u", "v"),
    [("left", 40, 40), ("front", 0, 70), ("right", -40, 60), ("top", 10, -40), ("back", 10, 0)],
)
def test_a_tap_marks_the_fault_where_it_was_seen(
    chair: Client, draft: Assessment, url: Callable[..., str], view: str, u: float, v: float
) -> None:
    at = url("fault-new", token=draft.token) + f"?zone=crown&view={view}"
    sent = {"fault": "gap", "view": view, "u": u, "v": v, "note": "two foils", "key": KEY}
    answer = chair.post(at, sent)
    mark = draft.fault_marks.get()
    seen = place(view, float(mark.azimuth_deg), float(mark.elevation_deg))
    assert seen[:2] == pytest.approx((u, v), abs=0.5)
    assert (mark.number, mark.common, mark.note) == (1, "gap", "two foils")
    zone = mark.zone if mark.zone in draft.module_version.judged_zones else "crown"
    assert answer["Location"].endswith(f"?zone={zone}&view={view}&fault={mark.client_key}")


def test_without_a_tap_the_fault_lies_in_the_middle_of_the_zone(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    chair.post(url("fault-new", token=draft.token), {"fault": "gap", "zone": "nape", "key": KEY})
    assert place_of(draft.fault_marks.get()) == zone_centre(Zone.NAPE)


def test_the_button_for_the_middle_forgets_an_earlier_tap(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    tap = {"view": "top", "u": 0, "v": 0}
    sent = {"fault": "gap", "zone": "nape", "middle": "1", "key": KEY, **tap}
    chair.post(url("fault-new", token=draft.token), sent)
    assert draft.fault_marks.get().zone == "nape"


def test_a_tap_before_the_fault_is_chosen_keeps_the_place(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    tap = {"view": "top", "u": 0, "v": -20}
    page = chair.post(url("fault-new", token=draft.token), tap | {"key": KEY}).content.decode()
    assert not draft.fault_marks.exists()
    assert "Nothing chosen yet" in page
    assert "Mark 1, crown, is not kept yet" in page
    assert re.search(r'class="hd-target loose"[^>]* visibility="visible"', page)
    assert '<button class="btn btn-outline-danger" id="mark-there" type="submit">' in page


@pytest.mark.parametrize(
    "tap", [{"u": 108, "v": -98}, {"u": 1e9, "v": 0}, {"view": "front", "u": 0, "v": -40}]
)
def test_a_tap_beside_the_hair_is_refused(
    chair: Client, draft: Assessment, url: Callable[..., str], tap: dict[str, object]
) -> None:
    data = {"fault": "gap", "zone": "crown", "view": "top", "key": KEY, **tap}
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
    sent = data | {"key": KEY}
    page = chair.post(url("fault-new", token=draft.token), sent).content.decode()
    assert sentence in page
    assert not draft.fault_marks.exists()


def test_an_arrow_moves_the_mark_by_5_mm_in_the_view_in_hand(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    chair.post(change(mark, "view=back"), {"move": "left"})
    mark.refresh_from_db()
    assert place_of(mark) == nudge(CROWN, 0, -5, view="back")
    assert place_of(mark) != nudge(CROWN, 0, -5, view="top")


def test_the_switch_makes_steps_of_1_mm_and_stays_on(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    answer = chair.post(change(mark, "view=back"), {"move": "up", "fine": "1"}, follow=True)
    mark.refresh_from_db()
    assert place_of(mark) == nudge(CROWN, 1, 0, view="back")
    page = answer.content.decode()
    assert "Fault 1, gap, crown, moved 1 mm up." in page
    assert re.search(r'id="fine"[^>]* checked', page)


def test_the_last_move_is_undone(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    answer = chair.post(change(mark, "view=back"), {"move": "left"}, follow=True)
    page = answer.content.decode()
    assert not re.search(r'<form class="undo"[^>]* hidden>', page)
    was = re.search(r'name="was" value="([^"]+)"', page)
    assert was
    answer = chair.post(change(mark, "view=back"), {"move": "back", "was": was[1]}, follow=True)
    mark.refresh_from_db()
    assert place_of(mark) == CROWN
    page = answer.content.decode()
    assert "Fault 1, gap, crown, back where it was." in page
    assert re.search(r'<form class="undo"[^>]* hidden>', page)


@pytest.mark.parametrize("was", ["", "12", "x y", "nan nan", "inf 3", "181 0", "0 -95", "1 2 3"])
def test_a_move_that_was_not_made_is_not_undone(
    chair: Client, mark: FaultMark, change: Callable[..., str], was: str
) -> None:
    page = chair.post(change(mark), {"move": "back", "was": was}).content.decode()
    assert "There is no move to undo." in page
    mark.refresh_from_db()
    assert place_of(mark) == CROWN


def test_a_tap_puts_the_mark_in_hand_anew_and_says_its_new_zone(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    sent = {"move": "tap", "view": "back", "u": "3", "v": "-60"}
    answer = chair.post(change(mark, "zone=crown&view=back&tap=1"), sent, follow=True)
    mark.refresh_from_db()
    assert mark.zone == "nape"
    assert place("back", *angles(mark))[:2] == pytest.approx((3, -60), abs=0.5)
    page = answer.content.decode()
    assert "Fault 1, gap, nape, moved there." in page
    # The next tap opens a zone again, and the zone in hand is the one it was.
    assert "data-tap" not in page
    assert '<h2 id="zone-h">Crown</h2>' in page


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"view": "back", "u": "108", "v": "98"}, "beside the hair, so the mark stays"),
        ({"view": "front", "u": "0", "v": "-40"}, "beside the hair, so the mark stays"),
        ({"view": "back", "u": "nan", "v": "1"}, "That tap was not read"),
        ({"view": "below", "u": "1", "v": "1"}, "That tap was not read"),
        ({}, "That tap was not read"),
    ],
)
def test_a_tap_that_cannot_be_leaves_the_mark_where_it_lies(
    chair: Client,
    mark: FaultMark,
    change: Callable[..., str],
    sent: dict[str, str],
    sentence: str,
) -> None:
    page = chair.post(change(mark), {"move": "tap", **sent}).content.decode()
    assert sentence in page
    mark.refresh_from_db()
    assert place_of(mark) == CROWN


@pytest.mark.parametrize("move", ["", "sideways"])
def test_an_unknown_direction_moves_nothing(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str], move: str
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.client_key)
    assert "up, down, left or right" in chair.post(at, {"move": move}).content.decode()
    mark.refresh_from_db()
    assert place_of(mark) == CROWN


def test_a_mark_does_not_leave_the_hair(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    at = url("fault-change", token=draft.token, fault=mark.client_key) + "?view=front"
    # Further than any head is high; the last ones are refused.
    answers = [chair.post(at, {"move": "down"}) for _ in range(40)]
    mark.refresh_from_db()
    assert place_of(mark).zone is not None
    assert "another" in answers[-1].content.decode()


def test_a_mark_is_called_something_else(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    sent = {"change": "1", "fault": "bleed", "note": "foil 35", "key": KEY}
    page = chair.post(change(mark), sent, follow=True).content.decode()
    assert "foil 35" in page
    mark.refresh_from_db()
    assert (mark.common, mark.note) == ("bleed", "foil 35")


def test_a_name_that_cannot_be_is_refused_and_what_was_typed_stays(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    sent = {"change": "1", "fault": "", "note": "foil 35", "key": KEY}
    page = chair.post(change(mark), sent).content.decode()
    assert "Nothing chosen yet" in page
    assert 'value="foil 35"' in page
    mark.refresh_from_db()
    assert (mark.common, mark.note) == ("gap", "")


def undo_form(page: str) -> dict[str, str]:
    """What the form sends that brings a mark back."""
    form = page[page.index("is off.") : page.index('id="undo-off"')]
    return dict(re.findall(r'type="hidden" name="([a-z]+)" value="([^"]*)"', form))


def test_a_mark_is_taken_off_and_brought_back_as_it_was(
    chair: Client,
    draft: Assessment,
    assessor: Person,
    mark: FaultMark,
    change: Callable[..., str],
    url: Callable[..., str],
) -> None:
    faults.place_fault(assessment=draft, by=assessor, common="bleed", **at_place(CROWN))
    faults.change_fault(mark=mark, by=assessor, fault=None, common="gap", note="by the parting")
    page = chair.post(change(mark), {"remove": "1"}).content.decode()
    assert "Fault 1, gap, crown, is off." in page
    assert [left.number for left in draft.fault_marks.all()] == [2]
    back = url("fault-new", token=draft.token)
    page = chair.post(back, {**undo_form(page), "back": "1"}, follow=True).content.decode()
    assert "Fault 1, gap, crown, back." in page
    again = draft.fault_marks.get(number=1)
    assert again.client_key == mark.client_key
    assert (again.common, again.note, place_of(again)) == ("gap", "by the parting", CROWN)


@pytest.mark.parametrize("wrong", [{"azimuth": "x"}, {"number": "-1"}, {"fault": "moon"}])
def test_what_never_was_a_mark_is_not_brought_back(
    chair: Client, draft: Assessment, url: Callable[..., str], wrong: dict[str, str]
) -> None:
    sent = {"back": "1", "fault": "gap", "azimuth": "180", "elevation": "40", "number": "1"}
    sent["key"] = KEY
    page = chair.post(url("fault-new", token=draft.token), {**sent, **wrong}).content.decode()
    assert "cannot be put back" in page
    assert not draft.fault_marks.exists()


def test_a_mark_that_was_taken_off_elsewhere_is_said_to_be_gone(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    at = change(mark)
    mark.delete()
    assert "taken off meanwhile" in chair.post(at, {"move": "up"}).content.decode()


def test_a_number_that_another_mark_has_by_now_gives_way(
    draft: Assessment, assessor: Person, mark: FaultMark
) -> None:
    text = MarkText(1, CROWN.azimuth_deg, CROWN.elevation_deg, "gap", "")
    placed = faults.keep_mark(assessment=draft, by=assessor, key=KEY, text=text)
    assert placed.number == 2


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


def test_a_mark_of_another_head_is_not_touched(
    chair: Client, mark: FaultMark, submitted: Assessment, url: Callable[..., str]
) -> None:
    wrong = url("fault-change", token=submitted.token, fault=mark.client_key)
    chair.post(wrong, {"remove": "1"})
    assert FaultMark.objects.filter(pk=mark.pk).exists()


def test_the_address_of_a_mark_leads_back_to_the_head(
    chair: Client, mark: FaultMark, change: Callable[..., str]
) -> None:
    answer = chair.get(change(mark, f"view=back&fault={mark.client_key}"), follow=True)
    assert 'class="fault-row" id="fault-1"' in answer.content.decode()


@settings(max_examples=60, deadline=None)
@given(azimuth=st.floats(-180, 180), elevation=st.floats(-90, 90))
def test_the_service_finds_the_zone_or_refuses_bare_skin(azimuth: float, elevation: float) -> None:
    """A mark lies in the zone that the place has on the sheet's head, whoever asks."""
    at = Place.at(azimuth, elevation)
    if at.zone is None:
        with pytest.raises(AssessmentError, match="beside the hair"):
            faults._on_the_hair(Decimal(str(azimuth)), Decimal(str(elevation)))
        return
    where = faults._on_the_hair(Decimal(str(azimuth)), Decimal(str(elevation)))
    assert where == {**at_place(at), "zone": at.zone.value}


def test_the_database_knows_the_zones(mark: FaultMark) -> None:
    with pytest.raises(IntegrityError, match="zone_known"), transaction.atomic():
        FaultMark._base_manager.filter(pk=mark.pk).update(zone="moon")


def test_a_mark_keeps_its_zone_where_another_head_has_the_border_beside_it(
    chair: Client, draft: Assessment, assessor: Person, url: Callable[..., str]
) -> None:
    other = zones_of(MALE_MEAN)
    turns = (Place.at(azimuth / 2, -25) for azimuth in range(-360, 360))
    border = next(
        at
        for at in turns
        if at.zone is Zone.OCCIPITAL
        and other.zone_at(at.azimuth_deg, at.elevation_deg) is Zone.NAPE
    )
    mark = faults.place_fault(assessment=draft, by=assessor, common="gap", **at_place(border))
    assert mark.zone == "occipital"
    assert place_of(mark) == border
    page = chair.get(url("assessment-score", token=draft.token)).content.decode()
    assert '<span class="quiet d-block" data-where>occipital</span>' in page


def test_every_view_that_sees_a_mark_shows_it_and_the_chosen_one_has_the_target(
    chair: Client, draft: Assessment, mark: FaultMark, assessor: Person, url: Callable[..., str]
) -> None:
    faults.place_fault(
        assessment=draft, by=assessor, common="bleed", **at_place(zone_centre(Zone.TOP))
    )
    at = url("assessment-score", token=draft.token) + f"?view=back&fault={mark.client_key}"
    page = chair.get(at).content.decode()
    svgs = re.findall(r'<svg[^>]*class="hd".*?</svg>', page)
    assert len(svgs) == 6
    for svg in svgs:
        [view] = re.findall(r'data-view="(\w+)"', svg)
        dots = len(re.findall(r'class="at" cx=', svg))
        seen = [
            place(view, *angles(one))[2] > SEEN_FROM for one in draft.fault_marks.order_by("number")
        ]
        assert dots == sum(seen)
        shown = 'class="hd-target"' in svg and 'visibility="visible"' in svg
        assert shown == seen[0]
    assert svgs[0].count('class="hd-fault chosen"><title>Fault 1:') == 1


def test_the_head_over_the_whole_width_stays_so(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    at = url("assessment-score", token=draft.token)
    page = chair.get(at + "?zone=crown&view=back").content.decode()
    assert 'class="chair"' in page
    assert "?zone=crown&amp;view=back&amp;large=1" in page
    page = chair.get(at + "?zone=crown&view=back&large=1").content.decode()
    assert 'class="chair large"' in page
    assert ">Smaller</a>" in page
    assert "?zone=nape&large=1" in page


HTMX = {"HX-Request": "true"}


def test_a_script_gets_the_head_alone_with_the_address_to_come_back_to(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    draft.refresh_from_db()
    hand = f"zone=crown&view=back&fault={mark.client_key}"
    at = url("assessment-score", token=draft.token) + f"?{hand}&rev={draft.revision}"
    answer = chair.get(at, headers=HTMX)
    page = answer.content.decode()
    assert answer["HX-Retarget"] == "#chair"
    assert 'type="radio"' not in page
    assert answer["HX-Replace-Url"].endswith(f"?{hand}")
    assert 'id="kept" role="status"' in page


def test_a_page_that_does_not_know_of_every_touch_gets_all_that_stands(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str]
) -> None:
    at = url("assessment-score", token=draft.token) + "?rev=0"
    answer = chair.get(at, headers=HTMX)
    assert answer["HX-Retarget"] == "#desk"
    assert "touched on another page or device" in answer.content.decode()


def test_a_form_that_is_sent_again_gives_the_mark_that_is_there(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    at, sent = url("fault-new", token=draft.token), {"fault": "gap", "zone": "nape"}
    answers = [chair.post(at, {**sent, "key": KEY})["Location"] for _ in range(2)]
    assert draft.fault_marks.get().client_key == KEY
    assert answers[0] == answers[1]
    chair.post(at, {**sent, "key": "n" * 22})
    assert draft.fault_marks.count() == 2


def test_the_database_holds_one_mark_of_a_key_on_a_head(mark: FaultMark) -> None:
    twin = FaultMark.objects.get(pk=mark.pk)
    twin.pk, twin.number, twin._state.adding = None, 7, True
    with pytest.raises(IntegrityError), transaction.atomic():
        twin.save()
    twin.client_key = KEY
    twin.save()


def test_going_back_asks_for_the_whole_page(
    chair: Client, draft: Assessment, url: Callable[..., str]
) -> None:
    headers = {**HTMX, "HX-History-Restore-Request": "true"}
    page = chair.get(url("assessment-score", token=draft.token), headers=headers).content.decode()
    assert "<!doctype html>" in page


SESSION_AND_RIGHTS = ("django_session", "people_person", "people_academy", "people_membership")


@pytest.mark.parametrize("touch", ["place", "move", "change", "remove"])
def test_one_touch_of_a_mark_asks_at_most_six_questions(
    chair: Client, draft: Assessment, mark: FaultMark, url: Callable[..., str], touch: str
) -> None:
    edition_of(draft.module_version)
    stands = mark_text(draft.fault_marks.get())
    key, was, value = {
        "place": (KEY, "", "2 180 30 bleed"),
        "move": (mark.client_key, stands, stands.replace(" gap", "1 gap")),
        "change": (mark.client_key, stands, f"{stands} foil 35"),
        "remove": (mark.client_key, stands, ""),
    }[touch]
    draft.refresh_from_db()
    before = draft.revision
    sent = [{"key": "t" * 22, "place": f"fault-{key}", "value": value, "was": was}]
    with CaptureQueriesContext(connection) as asked:
        told = chair.post(
            url("assessment-touches", token=draft.token), {"touches": json.dumps(sent)}
        )
    assert [one["state"] for one in told.json()["touches"]] == ["kept"]
    draft.refresh_from_db()
    assert draft.revision == before + 1
    own = [
        query["sql"]
        for query in asked.captured_queries
        if not query["sql"].startswith(("SAVEPOINT", "RELEASE"))
        and not any(f'FROM "{table}"' in query["sql"] for table in SESSION_AND_RIGHTS)
    ]
    assert len(own) <= 6, own


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
