"""The story of the demo academy as it is written in `fixtures/demo`, read once."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from academy.curriculum.content import PracticeUnit
from academy.practice.targets import Done

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "demo"
ASSESSORS = {"D": "dilys-okafor-reed", "B": "bram-halvorsen", "Y": "yusra-lindqvist"}
MANAGER, VERIFIER = "odile-farrant", "ines-carradine"
# The day on which a sign-off was given, from the day on which it lapses.
LapseDay = Callable[[int], int]
MAREN, JOSIAH = "maren-tolvey", "josiah-penhale"


@cache
def read(name: str) -> dict[str, Any]:
    """One file of the story as it stands."""
    return tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))


@dataclass(frozen=True)
class Head:
    """One assessed head: its day, who marks it, and who marks it again without seeing that."""

    day: int
    marker: str
    second: str = ""


@dataclass(frozen=True)
class Work:
    """One apprentice in one module: the assessed heads and the sign-off, if there is one."""

    person: str
    module: str
    heads: tuple[Head, ...]
    signed: int | None = None
    signer: str = ""
    lapses: int | None = None


@dataclass(frozen=True)
class Sitting:
    """A practice session that belongs to a story, on one day."""

    person: str
    module: str
    day: int
    units: tuple[Done, ...]
    checks: int = 0
    zones: tuple[str, ...] = ()
    criteria: tuple[str, ...] = ()
    well: str = ""
    change: str = ""
    late: int = 0
    supervisor: str = ""
    not_confirmed: str = ""


def people() -> dict[str, dict[str, Any]]:
    return {row["key"]: row for row in read("people")["person"]}


def educator_of(person: str) -> str:
    """The key of the educator who teaches an apprentice."""
    cohorts = {row["key"]: row["educator"] for row in read("cohorts")["cohort"]}
    return str(cohorts[people()[person]["cohort"]])


def works(lapse_day: LapseDay) -> list[Work]:
    """Every row of the timeline; `lapse_day` turns the day of lapsing into the day of signing."""
    return [_work(row, lapse_day) for row in read("timeline")["work"]]


def _work(row: dict[str, Any], lapse_day: LapseDay) -> Work:
    special = lapse_day(row["lapses"]) if "lapses" in row else 0

    def day_of(text: str) -> int:
        return special if text == "*" else int(text)

    heads = []
    for written in row["heads"]:
        day, markers = written.split()
        first, _, second = markers.partition("+")
        heads.append(Head(day_of(day), ASSESSORS[first], ASSESSORS[second] if second else ""))
    signed, signer = row.get("signed", "0 ").split(" ")
    return Work(
        person=row["person"],
        module=row["module"],
        heads=tuple(heads),
        signed=day_of(signed) if signer else None,
        signer=ASSESSORS[signer] if signer else "",
        lapses=row.get("lapses"),
    )


@dataclass(frozen=True)
class Told:
    """The levels of one head as a story tells them."""

    mark: int | None
    rating: int | None
    levels: dict[str, str]
    feedback: tuple[int, ...] = ()
    faults: tuple[str, ...] = ()
    note: str = ""
    stop: str = ""
    chosen: tuple[str, ...] = ()
    second: Told | None = field(default=None)


def told() -> dict[tuple[str, str, int], Told]:
    """The heads with a story, by person, module and day."""
    return {
        (row["person"], row["module"], row["day"]): Told(
            mark=row.get("mark"),
            rating=row.get("rating"),
            levels=row["levels"],
            feedback=tuple(row.get("feedback", ())),
            faults=tuple(row.get("faults", ())),
            note=row.get("note", ""),
            stop=row.get("stop", ""),
            chosen=tuple(row.get("chosen", ())),
            second=_second(row),
        )
        for row in read("stories")["story"]
    }


def _second(row: dict[str, Any]) -> Told | None:
    if "second" not in row:
        return None
    return Told(
        mark=row["second_mark"],
        rating=row["second_rating"],
        levels=row["second"],
        feedback=tuple(row.get("second_feedback", ())),
    )


def sittings() -> list[Sitting]:
    """The practice sessions of the stories, one for each day."""
    found = []
    for row in read("practice")["session"]:
        plain = {key: row[key] for key in ("well", "change", "late", "supervisor") if key in row}
        found += [
            Sitting(
                person=row["person"],
                module=row["module"],
                day=day,
                units=units(row["units"]),
                checks=row.get("checks", 0),
                zones=tuple(row.get("zones", ())),
                criteria=tuple(row.get("criteria", ())),
                not_confirmed=row.get("not_confirmed", ""),
                **plain,
            )
            for day in row["days"]
        ]
    return found


def units(text: str) -> tuple[Done, ...]:
    """What was done, from a text such as "1 heads, 2 checks extension"."""
    found = []
    for part in text.split(", "):
        count, unit, *tag = part.split(" ")
        found.append(Done(PracticeUnit(unit), int(count), " ".join(tag)))
    return tuple(found)
