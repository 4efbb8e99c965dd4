from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.people import services
from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Person

if TYPE_CHECKING:
    from django.test import Client

START = date(2026, 1, 5)


def test_a_cohort_is_made_once_with_its_educators_and_one_entry(
    academy: Academy, manager: Person, educator: Person, one_entry: Any
) -> None:
    with one_entry("people.cohort.made"):
        cohort = services.make_cohort(
            academy=academy, by=manager, name=" Wren ", starts_on=START, educators=[educator]
        )
    assert (cohort.name, list(cohort.educators.all())) == ("Wren", [educator])
    with pytest.raises(PeopleError, match="already") as refused:
        services.make_cohort(academy=academy, by=manager, name="WREN", starts_on=START)
    assert refused.value.field == "name"


def test_another_academy_may_use_the_same_name(
    other_academy: Academy, make_member: Callable[..., Person], plover: Cohort
) -> None:
    theirs = make_member("manager", academy=other_academy)
    services.make_cohort(academy=other_academy, by=theirs, name="Plover", starts_on=START)
    assert Cohort.objects.filter(name="Plover").count() == 2


@pytest.mark.parametrize("name", ["", "  ", "P" * 81, "Plo\nver"])
def test_a_bad_name_is_refused(academy: Academy, manager: Person, name: str) -> None:
    with pytest.raises(PeopleError) as refused:
        services.make_cohort(academy=academy, by=manager, name=name, starts_on=START)
    assert refused.value.field == "name"


def test_only_educators_teach_and_only_managers_make_change_and_end(
    academy: Academy, manager: Person, educator: Person, assessor: Person, plover: Cohort
) -> None:
    with pytest.raises(PeopleError, match="no educator"):
        services.make_cohort(
            academy=academy, by=manager, name="Wren", starts_on=START, educators=[assessor]
        )
    with pytest.raises(PeopleError, match="Only a manager"):
        services.make_cohort(academy=academy, by=educator, name="Wren", starts_on=START)
    with pytest.raises(PeopleError, match="Only a manager"):
        services.change_cohort(
            cohort=plover, by=educator, name="Wren", starts_on=START, educators=[]
        )
    with pytest.raises(PeopleError, match="Only a manager"):
        services.end_cohort(cohort=plover, by=educator, last_day=timezone.localdate())


def test_a_cohort_is_changed_with_one_entry(
    manager: Person, educator: Person, plover: Cohort, heron: Cohort, one_entry: Any
) -> None:
    with one_entry("people.cohort.changed"):
        services.change_cohort(
            cohort=plover, by=manager, name="Wren", starts_on=START, educators=[educator]
        )
    plover.refresh_from_db()
    assert (plover.name, list(plover.educators.all())) == ("Wren", [educator])
    with pytest.raises(PeopleError, match="heron here already"):
        services.change_cohort(
            cohort=plover, by=manager, name="heron", starts_on=START, educators=[]
        )


def test_ending_ends_the_places_and_then_nothing_changes_any_more(
    manager: Person, apprentice: Person, plover: Cohort, one_entry: Any
) -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    place = services.place_in_cohort(person=apprentice, cohort=plover, by=manager, since=START)
    with one_entry("people.cohort.ended"):
        services.end_cohort(cohort=plover, by=manager, last_day=yesterday)
    place.refresh_from_db()
    plover.refresh_from_db()
    assert place.until == plover.ends_on == yesterday
    with pytest.raises(PeopleError, match="stays as it was"):
        services.end_cohort(cohort=plover, by=manager, last_day=timezone.localdate())
    with pytest.raises(PeopleError, match="stays as it was"):
        services.change_cohort(cohort=plover, by=manager, name="W", starts_on=START, educators=[])


def test_the_last_day_is_after_every_first_day(
    manager: Person, apprentice: Person, plover: Cohort
) -> None:
    with pytest.raises(PeopleError, match="began on 5 Jan 2026"):
        services.end_cohort(cohort=plover, by=manager, last_day=START - timedelta(days=1))
    services.place_in_cohort(
        person=apprentice, cohort=plover, by=manager, since=START + timedelta(days=9)
    )
    with pytest.raises(PeopleError, match="from 14 Jan 2026"):
        services.end_cohort(cohort=plover, by=manager, last_day=START)


def test_the_page_makes_one_cohort_for_two_presses_and_keeps_what_was_typed(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    url = reverse("people:cohort-new", args=[academy.slug])
    words = {"name": "Wren", "starts_on": "2026-02-02"}
    assert browser.post(url, words).status_code == 302
    again = browser.post(url, words).content.decode()
    assert "There is a cohort Wren" in again
    assert 'value="2026-02-02"' in again
    bad = browser.post(url, {"name": "Kestrel", "starts_on": "soon"}).content.decode()
    assert "This is not a day" in bad
    assert 'value="Kestrel"' in bad
    assert Cohort.objects.count() == 1


def test_the_pages_change_and_end_a_cohort(
    academy: Academy,
    manager: Person,
    educator: Person,
    plover: Cohort,
    signed_in: Callable[[Person], Client],
) -> None:
    browser = signed_in(manager)
    change = reverse("people:cohort-change", args=[academy.slug, plover.token])
    words = {"name": "Wren", "starts_on": "2026-01-05", "educators": [educator.token]}
    assert "Wren stands" in browser.post(change, words, follow=True).content.decode()
    end = reverse("people:cohort-end", args=[academy.slug, plover.token])
    assert "began on" in browser.post(end, {"last_day": "2025-01-01"}).content.decode()
    assert "Ended" in browser.post(end, {"last_day": "2026-03-03"}, follow=True).content.decode()


def test_an_educator_reads_but_is_offered_nothing_to_change(
    academy: Academy, educator: Person, plover: Cohort, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(educator)
    page = browser.get(reverse("people:cohort-detail", args=[academy.slug, plover.token]))
    assert "Give a place" not in page.content.decode()
    listed = browser.get(reverse("people:cohort-list", args=[academy.slug])).content.decode()
    assert "Plover" in listed
    assert "Make a cohort" not in listed
