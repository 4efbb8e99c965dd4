"""Asking for an assessment, booking it, moving it, calling it off."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Booking
from academy.assessment.services.booking import ask_for_assessment, book, cancel_booking
from academy.assessment.services.signing import verify
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import publish_version, start_draft, start_module, write_draft
from academy.people.models import Academy, Person, Role
from academy.web.days import written, written_moment
from tests.site.factories import MembershipFactory
from tests.site.making import judged_head, module_content, publish, signed_off

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import SignOff


@pytest.fixture
def asked(version: ModuleVersion, apprentice: Person) -> Booking:
    return ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)


@pytest.fixture
def tomorrow() -> datetime:
    return timezone.now() + timedelta(days=1)


def when(moment: datetime) -> dict[str, str]:
    local = timezone.localtime(moment)
    return {"at_0": f"{local:%Y-%m-%d}", "at_1": f"{local:%H:%M}"}


def test_asking_twice_gives_one_booking_and_one_entry(
    version: ModuleVersion,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    for _ in range(2):
        signed_in(apprentice).post(url("booking-ask", token=version.module.token))
    assert Booking.objects.get().state == "asked"
    assert entries() == ["assessment.booking.asked"]


def test_an_assessor_is_booked_then_moved(
    asked: Booking,
    assessor: Person,
    colleague: Person,
    tomorrow: datetime,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    desk, at = signed_in(educator), url("booking-detail", token=asked.token)
    page = desk.post(at, {"assessor": assessor.pk, "place": "chair 4", **when(tomorrow)})
    assert page.status_code == 302
    desk.post(at, {"assessor": colleague.pk, "place": "chair 2", **when(tomorrow)})
    asked.refresh_from_db()
    assert (asked.state, asked.assessor, asked.place) == ("booked", colleague, "chair 2")
    assert entries() == ["assessment.booking.booked", "assessment.booking.moved"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"assessor": ""}, "Nothing chosen yet"),
        ({"assessor": "999999"}, "not on the list"),
        ({"place": " "}, "Nothing here yet"),
        ({"place": "p" * 81}, "Too long"),
        ({"at_0": "2020-01-01"}, "This time is past"),
        ({"at_0": "soon"}, "not a day"),
        ({"at_1": "25:00"}, "not a time of day"),
    ],
)
def test_a_booking_that_cannot_be_is_refused_and_stays_typed(
    asked: Booking,
    assessor: Person,
    tomorrow: datetime,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    change: dict[str, str],
    sentence: str,
) -> None:
    data = {"assessor": assessor.pk, "place": "chair 4", **when(tomorrow), **change}
    page = signed_in(educator).post(url("booking-detail", token=asked.token), data)
    assert sentence in page.content.decode()
    asked.refresh_from_db()
    assert asked.state == "asked"


def test_nobody_is_booked_to_assess_themselves(
    asked: Booking, apprentice: Person, educator: Person, tomorrow: datetime
) -> None:
    with pytest.raises(AssessmentError, match="nobody assesses themselves"):
        book(booking=asked, by=educator, assessor=apprentice, at=tomorrow, place="chair 4")


def test_an_apprentice_does_not_book(
    asked: Booking, apprentice: Person, assessor: Person, tomorrow: datetime
) -> None:
    with pytest.raises(AssessmentError, match="Educators and assessors book"):
        book(booking=asked, by=apprentice, assessor=assessor, at=tomorrow, place="chair 4")


def test_a_booking_is_called_off_with_its_reason(
    asked: Booking,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    at = url("booking-cancel", token=asked.token)
    assert "This is needed" in signed_in(apprentice).post(at, {"reason": " "}).content.decode()
    page = signed_in(apprentice).post(at, {"reason": "block not free"}, follow=True)
    assert "block not free" in page.content.decode()
    assert entries() == ["assessment.booking.cancelled"]
    with pytest.raises(AssessmentError):
        cancel_booking(booking=Booking.objects.get(), by=apprentice, reason="again")


def test_after_a_cancelled_booking_one_may_ask_again(
    asked: Booking, apprentice: Person, version: ModuleVersion
) -> None:
    cancel_booking(booking=asked, by=apprentice, reason="block not free")
    again = ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    assert again != asked


def test_another_apprentices_booking_is_not_found(
    academy: Academy,
    asked: Booking,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    other = signed_in(make_member(Role.APPRENTICE))
    assert other.get(url("booking-detail", token=asked.token)).status_code == 404
    at = url("booking-cancel", token=asked.token)
    assert other.post(at, {"reason": "mine now"}).status_code == 404


def test_asking_again_says_what_stands_already(
    asked: Booking,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    tomorrow: datetime,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    at = url("booking-ask", token=asked.module_version.module.token)
    page = signed_in(apprentice).post(at, follow=True).content.decode()
    assert f"You asked already on {written(asked.asked_at)}." in page
    book(booking=asked, by=educator, assessor=assessor, at=tomorrow, place="chair 4")
    page = signed_in(apprentice).post(at, follow=True).content.decode()
    assert f"Booked already: {written_moment(tomorrow)}, chair 4." in page


@pytest.mark.parametrize(("days", "refused"), [(61, True), (60, False)])
def test_a_module_signed_off_for_long_is_not_asked_for_again(
    sign_off: SignOff,
    apprentice: Person,
    monkeypatch: pytest.MonkeyPatch,
    days: int,
    refused: bool,
) -> None:
    version, last = sign_off.module_version, sign_off.in_date_until
    monkeypatch.setattr(timezone, "localdate", lambda *_: last - timedelta(days=days))
    sentence = f"is signed off until {written(last)}. Ask again within 60 days of that day."
    with pytest.raises(AssessmentError, match=sentence) if refused else nullcontext():
        ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    assert Booking.objects.exists() is not refused


def moment(days: int, hour: int, minute: int = 0) -> datetime:
    """A time of day in some days, at the academy."""
    day = timezone.localdate() + timedelta(days=days)
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))


def booked_for(
    version: ModuleVersion, person: Person, by: Person, assessor: Person, at: datetime
) -> Booking:
    row = ask_for_assessment(academy=version.academy, apprentice=person, version=version)
    return book(booking=row, by=by, assessor=assessor, at=at, place="chair 2")


def test_who_is_not_ready_reads_in_sentences_why_not(
    academy: Academy,
    educator: Person,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
    entries: Callable[[], list[str]],
) -> None:
    first = publish(academy, educator, "first")
    draft = start_module(academy=academy, by=educator, key="next", title="Next")
    content = replace(module_content("next", target=3), needs=("first",))
    write_draft(version=draft, content=content, by=educator)
    version = publish_version(version=draft, by=educator)
    entries()
    phone, at = signed_in(apprentice), url("booking-ask", token=version.module.token)
    for page in (phone.get(at), phone.post(at)):
        text = page.content.decode()
        assert "Not ready to be assessed yet" in text
        assert f"First needs a sign-off that is in date: {first.title}." in text
        assert "Practice still to do: 3 heads." in text
    assert entries() == []
    assert not Booking.objects.exists()
    listed = phone.get(url("booking-list")).content.decode()
    assert "No module is begun that is not signed off" in listed


def test_after_a_not_yet_the_earliest_date_and_the_practice_are_said(
    version: ModuleVersion, apprentice: Person, assessor: Person
) -> None:
    judged_head(version, assessor, apprentice, level=2, overall=2)
    with pytest.raises(AssessmentError) as refused:
        ask_for_assessment(academy=version.academy, apprentice=apprentice, version=version)
    earliest = written(timezone.localdate() + timedelta(days=7))
    assert f"Too early. From {earliest} on" in refused.value.message
    assert "First 2 more practice heads that cover" in refused.value.message


def test_who_is_ready_reads_that_and_asks(
    version: ModuleVersion,
    apprentice: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    phone, at = signed_in(apprentice), url("booking-ask", token=version.module.token)
    assert "You are ready to be assessed" in phone.get(at).content.decode()
    phone.post(at)
    assert "You asked already" in phone.get(at).content.decode()


@pytest.mark.parametrize(
    ("hour", "minute", "free"), [(9, 30, True), (9, 45, False), (10, 15, False), (10, 30, True)]
)
def test_an_assessor_is_not_booked_twice_at_one_time(
    version: ModuleVersion,
    make_member: Callable[..., Person],
    apprentice: Person,
    assessor: Person,
    educator: Person,
    hour: int,
    minute: int,
    free: bool,
) -> None:
    """A head takes as long as its module gives: 30 minutes here."""
    booked_for(version, make_member(Role.APPRENTICE), educator, assessor, moment(3, 10))
    sentence = f"{assessor} is booked from 10:00 to 10:30 then, {version.title}"
    with nullcontext() if free else pytest.raises(AssessmentError, match=sentence):
        booked_for(version, apprentice, educator, assessor, moment(3, hour, minute))


def test_an_apprentice_is_not_booked_twice_at_one_time(
    academy: Academy,
    version: ModuleVersion,
    apprentice: Person,
    assessor: Person,
    colleague: Person,
    educator: Person,
) -> None:
    other = publish(academy, educator, "other")
    booked_for(other, apprentice, educator, colleague, moment(3, 10))
    with pytest.raises(AssessmentError, match="is booked from 10:00") as refused:
        booked_for(version, apprentice, educator, assessor, moment(3, 10, 15))
    assert refused.value.field == "at"


def test_a_cancelled_or_moved_booking_leaves_its_time_free(
    version: ModuleVersion,
    apprentice: Person,
    make_member: Callable[..., Person],
    assessor: Person,
    educator: Person,
) -> None:
    row = booked_for(version, make_member(Role.APPRENTICE), educator, assessor, moment(3, 10))
    book(booking=row, by=educator, assessor=assessor, at=moment(3, 10, 15), place="chair 2")
    book(booking=row, by=educator, assessor=assessor, at=moment(4, 10), place="chair 2")
    booked_for(version, apprentice, educator, assessor, moment(3, 10))
    cancel_booking(booking=row, by=educator, reason="block not free")
    third = make_member(Role.APPRENTICE)
    booked_for(version, third, educator, assessor, moment(4, 10))


def test_what_another_academy_books_is_not_told(
    version: ModuleVersion,
    other_academy: Academy,
    make_member: Callable[..., Person],
    apprentice: Person,
    assessor: Person,
    educator: Person,
) -> None:
    MembershipFactory(academy=other_academy, person=assessor, role=Role.ASSESSOR)
    teacher = make_member(Role.EDUCATOR, other_academy)
    elsewhere = publish(other_academy, teacher, "elsewhere")
    theirs = make_member(Role.APPRENTICE, other_academy)
    booked_for(elsewhere, theirs, teacher, assessor, moment(3, 10))
    with pytest.raises(AssessmentError) as refused:
        booked_for(version, apprentice, educator, assessor, moment(3, 10))
    assert "is booked from 10:00 to 10:30 then. Give another time." in refused.value.message
    assert elsewhere.title not in refused.value.message


def test_the_same_once_more_changes_nothing(
    asked: Booking,
    assessor: Person,
    educator: Person,
    tomorrow: datetime,
    entries: Callable[[], list[str]],
) -> None:
    for _ in range(2):
        book(booking=asked, by=educator, assessor=assessor, at=tomorrow, place="chair 4")
    assert entries() == ["assessment.booking.booked"]


def test_a_booking_of_somebody_who_left_is_refused_with_what_to_do(
    asked: Booking,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    tomorrow: datetime,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    apprentice.memberships.update(since=yesterday, until=yesterday)
    with pytest.raises(AssessmentError, match="Cancel this booking and give that as the reason"):
        book(booking=asked, by=educator, assessor=assessor, at=tomorrow, place="chair 4")
    listed = signed_in(educator).get(url("booking-list")).content.decode()
    assert "no apprentice here any more, cancel it" in listed
    cancel_booking(booking=asked, by=educator, reason="left the academy")


def test_a_booking_of_a_retired_version_is_refused_with_what_to_do(
    asked: Booking, assessor: Person, educator: Person, tomorrow: datetime
) -> None:
    old = asked.module_version
    draft = start_draft(module=old.module, by=educator)
    write_draft(version=draft, content=module_content("coverage"), by=educator)
    publish_version(version=draft, by=educator)
    with pytest.raises(AssessmentError, match="Cancel this booking; Tamsin asks again"):
        book(booking=asked, by=educator, assessor=assessor, at=tomorrow, place="chair 4")


def test_a_booking_before_the_earliest_day_or_with_a_barred_assessor_is_refused(
    version: ModuleVersion,
    asked: Booking,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    tomorrow: datetime,
) -> None:
    judged_head(version, assessor, apprentice, level=2, overall=2)
    with pytest.raises(AssessmentError, match="Too early"):
        book(booking=asked, by=educator, assessor=assessor, at=tomorrow, place="chair 4")
    later = tomorrow + timedelta(days=7)
    assert book(booking=asked, by=educator, assessor=assessor, at=later, place="chair 4").at


def test_every_move_stands_in_the_bookings_history(
    asked: Booking,
    assessor: Person,
    colleague: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    book(booking=asked, by=educator, assessor=assessor, at=moment(2, 9), place="chair 4")
    book(booking=asked, by=educator, assessor=colleague, at=moment(3, 9), place="chair 4")
    page = signed_in(educator).get(url("booking-detail", token=asked.token)).content.decode()
    assert f"with {assessor} for {written_moment(moment(2, 9))}" in page
    assert f"to {written_moment(moment(3, 9))}, with {colleague}" in page


def test_who_waits_longest_is_on_top_with_the_days(
    version: ModuleVersion,
    apprentice: Person,
    make_member: Callable[..., Person],
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    late = make_member(Role.APPRENTICE, name="Wren Adeyemi-Hall")
    for person, days in ((apprentice, 2), (late, 5)):
        row = ask_for_assessment(academy=version.academy, apprentice=person, version=version)
        Booking.objects.filter(pk=row.pk).update(asked_at=timezone.now() - timedelta(days=days))
    page = signed_in(educator).get(url("booking-list")).content.decode()
    assert page.index("Wren Adeyemi-Hall") < page.index("Tamsin Orle")
    assert "waits 5 days" in page


def test_the_day_list_shows_an_assessor_their_own_heads_and_an_educator_all(
    version: ModuleVersion,
    apprentice: Person,
    make_member: Callable[..., Person],
    assessor: Person,
    colleague: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    other = make_member(Role.APPRENTICE, name="Wren Adeyemi-Hall")
    booked_for(version, apprentice, educator, assessor, moment(2, 9))
    booked_for(version, other, educator, colleague, moment(9, 9))
    at = url("booking-day")
    own = signed_in(assessor).get(at).content.decode()
    assert "1 head booked with you" in own
    assert "09:00 Tamsin Orle" in own
    assert "Nothing is booked with you" in signed_in(colleague).get(at).content.decode()
    next_week = moment(7, 0).date().isoformat()
    later = signed_in(educator).get(at, {"day": next_week}).content.decode()
    assert "09:00 Wren Adeyemi-Hall" in later
    assert "Tamsin" not in later
    assert signed_in(educator).get(at, {"day": "9999-12-31"}).status_code == 200


def test_a_head_that_was_not_begun_at_its_time_is_said(
    version: ModuleVersion,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    row = booked_for(version, apprentice, educator, assessor, moment(2, 9))
    Booking.objects.filter(pk=row.pk).update(at=moment(-2, 9))
    page = signed_in(assessor).get(url("booking-day")).content.decode()
    assert "Time is over" in page
    assert "Nothing is booked with you" in page
    assert "time is over" in signed_in(assessor).get(url("booking-list")).content.decode()


@pytest.fixture
def after_hygiene(
    academy: Academy, educator: Person, assessor: Person, apprentice: Person
) -> SignOff:
    """The sign-off of a module that comes before the module "next"."""
    first = publish(academy, educator, "hygiene")
    draft = start_module(academy=academy, by=educator, key="next", title="Next")
    content = replace(module_content("next"), needs=("hygiene",))
    write_draft(version=draft, content=content, by=educator)
    publish_version(version=draft, by=educator)
    return signed_off(first, assessor, apprentice)


@pytest.fixture
def asked_next(after_hygiene: SignOff, academy: Academy, apprentice: Person) -> Booking:
    version = ModuleVersion.objects.get(academy=academy, module__key="next")
    return ask_for_assessment(academy=academy, apprentice=apprentice, version=version)


def noon(day: date) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(12)))


def test_a_day_on_which_a_needed_sign_off_has_lapsed_is_refused_with_what_to_do(
    asked_next: Booking,
    after_hygiene: SignOff,
    assessor: Person,
    educator: Person,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    last = after_hygiene.in_date_until
    late = noon(last + timedelta(days=1))
    desk, at = signed_in(educator), url("booking-detail", token=asked_next.token)
    data = {"assessor": assessor.pk, "place": "chair 4", **when(late)}
    page = desk.post(at, data).content.decode()
    title = after_hygiene.module_version.title
    assert f"{title} comes first and is signed off until {written(last)} only." in page
    assert "have it signed off anew before" in page
    asked_next.refresh_from_db()
    assert asked_next.state == "asked"
    desk.post(at, {**data, **when(noon(last))})
    asked_next.refresh_from_db()
    assert asked_next.at == noon(last)
    with pytest.raises(AssessmentError, match="Choose a day until then"):
        book(booking=asked_next, by=educator, assessor=assessor, at=late, place="chair 4")


def test_a_need_that_fell_away_since_it_was_asked_for_is_refused_and_said_on_the_page(
    asked_next: Booking,
    after_hygiene: SignOff,
    assessor: Person,
    educator: Person,
    verifier: Person,
    apprentice: Person,
    tomorrow: datetime,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    book(booking=asked_next, by=educator, assessor=assessor, at=tomorrow, place="chair 4")
    at = url("booking-detail", token=asked_next.token)
    assert "Before this head can begin" not in signed_in(apprentice).get(at).content.decode()
    verify(sign_off=after_hygiene, verifier=verifier, result="overturned", text="Another's photo.")
    later = tomorrow + timedelta(days=1)
    with pytest.raises(AssessmentError, match="First needs a sign-off that is in date"):
        book(booking=asked_next, by=educator, assessor=assessor, at=later, place="chair 4")
    for person in (apprentice, educator):
        page = signed_in(person).get(at).content.decode()
        assert "Before this head can begin" in page
        assert "First needs a sign-off that is in date" in page


def test_what_a_not_yet_still_asks_for_is_said_for_the_booked_day(
    version: ModuleVersion,
    asked: Booking,
    apprentice: Person,
    assessor: Person,
    educator: Person,
    tomorrow: datetime,
    signed_in: Callable[[Person], Client],
    url: Callable[..., str],
) -> None:
    judged_head(version, assessor, apprentice, level=2, overall=2)
    book(
        booking=asked,
        by=educator,
        assessor=assessor,
        at=tomorrow + timedelta(days=7),
        place="chair 4",
    )
    page = signed_in(apprentice).get(url("booking-detail", token=asked.token)).content.decode()
    assert "Before this head can begin" in page
    assert "First 2 more practice heads that cover" in page
    # By then it is late enough.
    assert "Too early" not in page
