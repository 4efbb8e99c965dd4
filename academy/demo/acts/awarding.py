"""Certificates issued, withdrawn and replaced."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from academy.awards.services import issue_certificate, withdraw_certificate
from academy.curriculum.models import Award
from academy.demo import story
from academy.demo.stage import Event, Stage

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.demo.calendar import Calendar

FOILS, WHITE = "foundation-foils", "white-hair-coverage"
ISSUED = (
    ("junia-pettifer", FOILS, -150),
    ("rafe-ostrander", WHITE, -140),
    ("gwenda-thirlby", FOILS, -130),
    ("wren-adeyemi-hall", FOILS, -72),
    ("eero-castell", FOILS, -60),
    ("wren-adeyemi-hall", WHITE, -2),
)


def events(calendar: Calendar) -> Iterator[Event]:
    for person, award, day in ISSUED:
        yield Event(calendar.at(day, 690), partial(_issue, person=person, award=award))
    yield Event(calendar.at(-12, 700), _withdraw)
    again = partial(_issue, person="eero-castell", award=FOILS, replaces="eero-castell")
    yield Event(calendar.at(-3, 690), again)


def _issue(stage: Stage, person: str, award: str, replaces: str = "") -> None:
    certificate = issue_certificate(
        academy=stage.academy,
        award=Award.objects.get(academy=stage.academy, key=award),
        holder=stage.people[person],
        by=stage.people[story.MANAGER],
        replaces=stage.certificates[f"{replaces} {award}"] if replaces else None,
    )
    stage.certificates[f"{person} {award}"] = certificate


def _withdraw(stage: Stage) -> None:
    reason = next(
        row["text"]
        for row in story.read("verification_notes")["withdrawal"]
        if row["person"] == "eero-castell"
    )
    withdraw_certificate(
        certificate=stage.certificates[f"eero-castell {FOILS}"],
        by=stage.people[story.MANAGER],
        reason=reason,
    )
