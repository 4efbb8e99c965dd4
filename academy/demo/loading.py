"""Loads the Larkmere academy: months of work played through the services, day by day."""

from __future__ import annotations

from dataclasses import dataclass, field
from time import perf_counter
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import time_machine
from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone

from academy.demo import story
from academy.demo.acts import (
    agreeing,
    assessing,
    awarding,
    checking,
    curriculum,
    papers,
    people,
    practising,
    this_week,
)
from academy.demo.calendar import Calendar
from academy.demo.stage import Event, Stage, play
from academy.people.demo import PASSWORD
from academy.people.services import set_up_academy

if TYPE_CHECKING:
    from datetime import datetime

    from academy.people.models import Academy

SET_UP = -480


@dataclass(frozen=True)
class Loaded:
    """The academy, how many events were played, and the seconds of each phase."""

    academy: Academy
    events: int
    seconds: dict[str, float] = field(default_factory=dict)


def load_demo(now: datetime | None = None) -> Loaded:
    """Play the whole story up to `now`, in one transaction. The caller saw that none is there."""
    clock, seconds = perf_counter(), {}
    row = story.read("cohorts")["academy"]
    calendar = Calendar(now or timezone.now(), ZoneInfo(row["time_zone"]))
    password_hash = make_password(PASSWORD)
    with transaction.atomic():
        manager = story.people()[story.MANAGER]
        with time_machine.travel(calendar.at(SET_UP, 540), tick=False):
            invitation = set_up_academy(
                slug=row["key"],
                name=row["name"],
                manager_email=manager["email"],
                manager_name=manager["name"],
                time_zone=row["time_zone"],
                preset=row["preset"],
            )
        stage = Stage(calendar, invitation.academy)
        acts: dict[str, list[Event]] = {}
        works = story.works(lambda lapses: calendar.signed_for(lapses, 12))
        acts["people"] = list(people.events(calendar, password_hash, invitation))
        acts["curriculum"] = list(curriculum.events(calendar))
        acts["papers"] = list(papers.events(calendar))
        acts["practice"] = list(practising.events(calendar, works))
        acts["assessment"] = list(assessing.events(calendar, works))
        acts["verification"] = list(checking.events(calendar))
        acts["awards"] = list(awarding.events(calendar))
        acts["this week"] = list(this_week.events(calendar))
        acts["agreement"] = list(agreeing.events(calendar))
        seconds["plan"] = perf_counter() - clock
        played = play(stage, acts, seconds)
    return Loaded(stage.academy, played, seconds)
