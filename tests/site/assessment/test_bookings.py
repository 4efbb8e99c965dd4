"""Asking for an assessment, booking it, moving it, calling it off."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.assessment.errors import AssessmentError
from academy.assessment.models import Booking
from academy.assessment.services.booking import ask_for_assessment, book, cancel_booking
from academy.people.models import Academy, Person, Role
from academy.web.days import written, written_moment

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import SignOff
    from academy.curriculum.models import ModuleVersion


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
