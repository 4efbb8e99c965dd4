"""What the events of the demo act on, and how they are played in the order of their time."""

from __future__ import annotations

from dataclasses import dataclass, field
from time import perf_counter
from typing import TYPE_CHECKING

import time_machine
from django.utils import timezone

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, MutableMapping
    from datetime import datetime

    from academy.assessment.models import ActionPlan, Assessment, SamplePlan, SignOff
    from academy.awards.models import Certificate
    from academy.curriculum.models import ModuleVersion, ProductLabel
    from academy.demo.calendar import Calendar
    from academy.exercises.models import Paper
    from academy.people.models import Academy, Cohort, Person

HeadKey = tuple[str, str, int]


@dataclass
class Stage:
    """Rows that later events need, by the keys of the story."""

    calendar: Calendar
    academy: Academy
    people: dict[str, Person] = field(default_factory=dict)
    cohorts: dict[str, Cohort] = field(default_factory=dict)
    versions: dict[str, ModuleVersion] = field(default_factory=dict)
    labels: dict[str, ProductLabel] = field(default_factory=dict)
    papers: dict[str, Paper] = field(default_factory=dict)
    heads: dict[HeadKey, Assessment] = field(default_factory=dict)
    sign_offs: dict[HeadKey, SignOff] = field(default_factory=dict)
    plans: dict[str, ActionPlan] = field(default_factory=dict)
    samples: dict[str, SamplePlan] = field(default_factory=dict)
    certificates: dict[str, Certificate] = field(default_factory=dict)


@dataclass(frozen=True)
class Event:
    """Something that happens at a moment, through a service."""

    at: datetime
    do: Callable[[Stage], object]


def play(
    stage: Stage, acts: Mapping[str, Iterable[Event]], seconds: MutableMapping[str, float]
) -> int:
    """Let everything happen at its time, the earliest first; the number of events.

    The clock stands still within an event. Events of one moment keep the order they came in.
    `seconds` takes the real time that each act took.
    """
    named = [(event.at, act, event) for act, events in acts.items() for event in events]
    named.sort(key=lambda row: row[0])
    with (
        timezone.override(stage.calendar.zone),
        time_machine.travel(stage.calendar.now, tick=False) as clock,
    ):
        for at, act, event in named:
            begun = perf_counter()
            clock.move_to(at, tick=False)
            event.do(stage)
            seconds[act] = seconds.get(act, 0.0) + perf_counter() - begun
    return len(named)
