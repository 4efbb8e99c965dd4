"""The demo is the same every time: nothing in it comes from chance at run time."""

from __future__ import annotations

from datetime import timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

import pytest
from django.db import connection, transaction

from academy.audit.models import Entry
from academy.demo import story
from academy.demo.acts import assessing, papers, practising
from academy.demo.calendar import Calendar
from tests.site.demo_played import NOW, demo_played

LONDON = ZoneInfo("Europe/London")


def moments() -> list[object]:
    calendar = Calendar(NOW, LONDON)
    works = story.works(lambda lapses: calendar.signed_for(lapses, 12))
    acts = (practising.events(calendar, works), assessing.events(calendar, works))
    return [event.at for act in (*acts, papers.events(calendar)) for event in act]


def test_the_plan_is_the_same_every_time() -> None:
    assert moments() == moments()


def test_the_hour_of_loading_does_not_move_the_story() -> None:
    morning, night = (Calendar(NOW + timedelta(hours=h), LONDON) for h in (0, 13))
    assert morning.at(-30, 600) == night.at(-30, 600)
    assert morning.latest == night.latest


def test_loaded_before_the_morning_nothing_lies_in_the_future() -> None:
    early = Calendar(NOW - timedelta(hours=9), LONDON)
    assert early.latest < early.now


@pytest.mark.deep
def test_two_loadings_write_the_same_bytes() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL does not take its sequences back, so the ids differ.")
    digests = []
    for _ in range(2):
        with transaction.atomic(), demo_played():
            rows = Entry.objects.order_by("pk").values_list("canonical", flat=True)
            digests.append(sha256(b"\n".join(bytes(row) for row in rows)).hexdigest())
    assert digests[0] == digests[1]
