"""Days on which the academy is closed: kept by the manager, each once, with why."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from django.urls import reverse
from django.utils import timezone

from academy.audit.models import Entry
from academy.people.errors import PeopleError
from academy.people.models import Academy, ClosedDay, Person
from academy.people.services import close_day, open_day

if TYPE_CHECKING:
    from django.test import Client

DAY = date(2027, 3, 29)


def test_a_day_is_closed_once(academy: Academy, manager: Person) -> None:
    close_day(academy=academy, by=manager, day=DAY, why="Easter Monday")
    with pytest.raises(PeopleError, match="29 Mar 2027 is on the list already") as refused:
        close_day(academy=academy, by=manager, day=DAY, why="Again")
    assert refused.value.field == "day"
    assert ClosedDay.objects.days_of(academy) == {DAY}


def test_it_says_why(academy: Academy, manager: Person) -> None:
    with pytest.raises(PeopleError, match="Say why"):
        close_day(academy=academy, by=manager, day=DAY, why="  ")


def test_only_a_manager_changes_the_list(
    academy: Academy, manager: Person, educator: Person
) -> None:
    with pytest.raises(PeopleError, match="Only a manager"):
        close_day(academy=academy, by=educator, day=DAY, why="Easter Monday")
    row = close_day(academy=academy, by=manager, day=DAY, why="Easter Monday")
    with pytest.raises(PeopleError, match="Only a manager"):
        open_day(closed=row, by=educator)


def test_the_table_adds_and_takes_off_with_an_entry_each(
    academy: Academy, manager: Person, signed_in: Callable[[Person], Client]
) -> None:
    browser = signed_in(manager)
    at = reverse("people:closed-days", args=[academy.slug])
    day = timezone.localdate() + timedelta(days=40)
    browser.post(at, {"day": f"{day:%d %b %Y}", "why": "Founder's day"})
    row = ClosedDay.objects.get()
    assert (row.day, row.why) == (day, "Founder's day")
    assert "Founder&#x27;s day" in browser.get(at).content.decode()
    browser.post(reverse("people:closed-day-remove", args=[academy.slug, row.token]))
    assert not ClosedDay.objects.exists()
    actions = list(Entry.objects.order_by("pk").values_list("action", flat=True))[-2:]
    assert actions == ["people.closedday.added", "people.closedday.removed"]
