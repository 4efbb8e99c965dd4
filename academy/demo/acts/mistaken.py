"""A head submitted with a level of the one before, taken back, and begun again the same day."""

from __future__ import annotations

from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

from academy.assessment.services import scoring
from academy.assessment.services.withdrawing import begin_again, withdraw
from academy.demo.stage import Event, HeadKey, Stage

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from datetime import datetime

HEAD: HeadKey = ("ravi-dunmore", "slices", -28)
CRITERION, LEVEL_OF_THE_OTHER = "S1", 1
REASON = "The slice depth was read off the head before this one. Here it is nearer to the plan."


def events(submitted: datetime, submit: Callable[[Stage], None]) -> Iterator[Event]:
    """Marked wrong before it is submitted, taken back a few minutes later, and mended."""
    right: dict[str, int] = {}
    yield Event(submitted - timedelta(minutes=8), partial(_slip, right=right))
    yield Event(submitted + timedelta(minutes=6), partial(_take_back, right=right, submit=submit))


def _slip(stage: Stage, right: dict[str, int]) -> None:
    marks = stage.heads[HEAD].marks.filter(criterion__code=CRITERION)
    right |= dict(marks.values_list("zone", "level"))
    _mark(stage, dict.fromkeys(right, LEVEL_OF_THE_OTHER))


def _take_back(stage: Stage, right: dict[str, int], submit: Callable[[Stage], None]) -> None:
    wrong = stage.heads[HEAD]
    withdraw(assessment=wrong, by=wrong.assessor, reason=REASON)
    stage.heads[HEAD] = begin_again(withdrawn=wrong, by=wrong.assessor)
    _mark(stage, right)
    submit(stage)


def _mark(stage: Stage, levels: Mapping[str, int]) -> None:
    head = stage.heads[HEAD]
    criterion = head.module_version.criteria.get(code=CRITERION)
    for zone, level in levels.items():
        scoring.set_level(
            assessment=head, by=head.assessor, criterion=criterion, zone=zone, level=level
        )
