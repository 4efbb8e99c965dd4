from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, CohortPlace, Person
from academy.web.days import written_short

if TYPE_CHECKING:
    from django.test import Client

START = date(2026, 1, 5)


def test_an_apprentice_is_placed_with_one_entry_and_not_twice(
    manager: Person, apprentice: Person, plover: Cohort, heron: Cohort, one_entry: Any
) -> None:
    with one_entry("people.place.given"):
        services.place_in_cohort(person=apprentice, cohort=plover, by=manager)
    for cohort in (plover, heron):
        with pytest.raises(PeopleError, match="Move them instead"):
            services.place_in_cohort(person=apprentice, cohort=cohort, by=manager)
    assert CohortPlace.objects.count() == 1


def test_a_move_ends_the_old_place_the_day_before(
    manager: Person, apprentice: Person, plover: Cohort, heron: Cohort, one_entry: Any
) -> None:
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=START)
    day = START + timedelta(days=30)
    with one_entry("people.place.moved"):
        services.move_to_cohort(person=apprentice, cohort=heron, by=manager, on=day)
    old, new = CohortPlace.objects.order_by("since")
    assert (old.cohort, old.until) == (plover, day - timedelta(days=1))
    assert (new.cohort, new.since, new.until) == (heron, day, None)


def test_a_slip_put_right_on_the_same_day_leaves_one_place(
    manager: Person, apprentice: Person, plover: Cohort, heron: Cohort
) -> None:
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager)
    services.move_to_cohort(person=apprentice, cohort=heron, by=manager)
    assert [place.cohort for place in CohortPlace.objects.all()] == [heron]


def test_a_move_needs_a_place_and_another_cohort(
    manager: Person, apprentice: Person, plover: Cohort
) -> None:
    with pytest.raises(PeopleError, match="no place yet"):
        services.move_to_cohort(person=apprentice, cohort=plover, by=manager)
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager)
    with pytest.raises(PeopleError, match="in Plover already"):
        services.move_to_cohort(person=apprentice, cohort=plover, by=manager)


def test_only_apprentices_in_days_of_a_cohort_that_goes_on_placed_by_managers(
    manager: Person, educator: Person, apprentice: Person, plover: Cohort
) -> None:
    with pytest.raises(PeopleError, match="no apprentice here"):
        services.place_in_cohort(person=educator, cohort=plover, by=manager)
    with pytest.raises(PeopleError, match="Only a manager"):
        services.place_in_cohort(person=apprentice, cohort=plover, by=educator)
    with pytest.raises(PeopleError, match="Only a manager"):
        services.move_to_cohort(person=apprentice, cohort=plover, by=educator)
    with pytest.raises(PeopleError, match="runs from 5 Jan 2026"):
        services.place_in_cohort(
            person=apprentice, cohort=plover, by=manager, since=START - timedelta(days=1)
        )
    services.end_cohort(
        cohort=plover, by=manager, last_day=timezone.localdate() - timedelta(days=1)
    )
    plover.refresh_from_db()
    with pytest.raises(PeopleError, match="ended on"):
        services.place_in_cohort(person=apprentice, cohort=plover, by=manager)


def test_the_cohorts_page_places_once_for_two_presses(
    academy: Academy,
    manager: Person,
    apprentice: Person,
    plover: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(manager)
    url = reverse("people:place-new", args=[academy.slug, plover.token])
    words = {"person": apprentice.token, "since": "2026-02-02"}
    assert browser.post(url, words).status_code == 302
    again = browser.post(url, words)
    assert "not on the list any more" in again.content.decode()
    assert CohortPlace.objects.count() == 1


def test_the_persons_page_places_and_moves(
    academy: Academy,
    manager: Person,
    apprentice: Person,
    plover: Cohort,
    heron: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(manager)
    url = reverse("people:place-change", args=[academy.slug, apprentice.token])
    for cohort, day in ((plover, "2026-02-02"), (heron, "2026-03-02")):
        words = {"cohort": cohort.token, "since": day}
        assert "Placed" in browser.post(url, words, follow=True).content.decode()
    same = browser.post(url, {"cohort": heron.token, "since": "2026-03-09"})
    assert "in Heron already" in same.content.decode()
    assert CohortPlace.objects.count() == 2


def test_a_cohort_of_another_academy_is_not_on_the_list(
    academy: Academy,
    other_academy: Academy,
    manager: Person,
    apprentice: Person,
    make_member: Callable[..., Person],
    signed_in: Callable[[Person], Client],
) -> None:
    theirs = services.make_cohort(
        academy=other_academy,
        by=make_member("manager", academy=other_academy),
        name="Far",
        starts_on=START,
    )
    url = reverse("people:place-change", args=[academy.slug, apprentice.token])
    page = signed_in(manager).post(url, {"cohort": theirs.token, "since": "2026-03-09"})
    assert "not on the list any more" in page.content.decode()
    assert not CohortPlace.objects.exists()


def test_the_page_names_the_cohort_of_today_and_the_one_that_follows(
    manager: Person, apprentice: Person, plover: Cohort, heron: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:  # fmt: skip
    services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=START)
    today = timezone.localdate()
    services.move_to_cohort(
        person=apprentice, cohort=heron, by=manager, on=today + timedelta(days=5)
    )
    address = reverse("people:member-detail", args=["larkmere", apprentice.token])
    last = written_short(today + timedelta(days=4))
    page = signed_in(manager).get(address).text
    assert f"Apprentice, Plover until {last}, then Heron" in page
