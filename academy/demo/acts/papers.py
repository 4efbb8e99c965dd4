"""Papers set for cohorts, and what apprentices answered."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from functools import partial
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.engine import Field, Level, Question as Drawn
from academy.craft.measure import Kind, round_half_up, shown_as
from academy.demo import story
from academy.demo.dice import Dice
from academy.demo.stage import Event, Stage
from academy.exercises.models import Paper
from academy.exercises.services import (
    PartWanted,
    Wanted,
    hand_in,
    keep_answers,
    set_paper,
    start_sheet,
)
from academy.exercises.services.keeping import questions_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.measure import Value
    from academy.demo.calendar import Calendar

Answers = dict[str, str]
# Kinds whose figures can be made wrong by adding to them.
_WRONG = (Kind.GRAMS, Kind.MINUTES, Kind.SHARE, Kind.HOURS)


def events(calendar: Calendar) -> Iterator[Event]:
    for row in story.read("papers")["paper"]:
        yield Event(calendar.at(row["set_day"], 570), partial(_set, row=row))
        for sheet in row["sheets"]:
            yield from _sheet(calendar, row["key"], sheet)


def _sheet(calendar: Calendar, key: str, sheet: dict[str, Any]) -> Iterator[Event]:
    """Begun in the evening, some minutes for each question, handed in after the last one."""
    dice = Dice("sheet", key, sheet["person"], sheet["day"])
    at = calendar.at(sheet["day"], 1090 + dice.whole(0, 180))
    plans = sheet.get("answers", ["open"])
    for position, plan in enumerate(plans, 1):
        at += timedelta(minutes=dice.whole(1, 4) + (position == 1))
        keep = partial(_keep, key=key, who=sheet["person"], position=position, plan=plan)
        yield Event(at, keep)
    if "answers" in sheet:
        yield Event(at, partial(_hand_in, key=key, who=sheet["person"]))


def _set(stage: Stage, row: dict[str, Any]) -> None:
    stage.papers[row["key"]] = set_paper(
        academy=stage.academy,
        by=stage.people[row["by"]],
        wanted=Wanted(
            cohort=stage.cohorts[row["cohort"]],
            title=row["title"],
            parts=[_part(stage, text) for text in row["parts"]],
            seed=row["seed"],
            kind=row.get("kind", Paper.Kind.PRACTICE),
            minutes=row.get("minutes"),
            due_on=stage.calendar.date(row["due_day"]),
            module_version=stage.versions[row["module"]] if "module" in row else None,
        ),
    )


def _part(stage: Stage, text: str) -> PartWanted:
    what, _, label = text.partition(" under ")
    what, _, module = what.partition(" from ")
    family, level, count = what.split(" ")
    return PartWanted(
        family,
        Level(level),
        int(count),
        stage.labels[label] if label else None,
        stage.versions[module] if module else None,
    )


def _keep(stage: Stage, key: str, who: str, position: int, plan: str) -> None:
    person = stage.people[who]
    sheet = start_sheet(paper=stage.papers[key], apprentice=person)
    question = questions_of(sheet)[position - 1].question
    typed = {(position, field): text for field, text in answers(question, plan).items()}
    keep_answers(sheet=sheet, by=person, answers=typed)


def _hand_in(stage: Stage, key: str, who: str) -> None:
    person = stage.people[who]
    hand_in(sheet=start_sheet(paper=stage.papers[key], apprentice=person), by=person)


def answers(question: Drawn, plan: str) -> Answers:
    """What is typed into each field of a question by a plan of `papers.toml`."""
    right = {field.key: typed(field, question.key[field.key]) for field in question.fields}
    kind, _, what = plan.partition(":")
    if kind == "open":
        return dict(list(right.items())[: len(right) // 2])
    if kind == "read":
        return {key: _read(question.key[key], int(what)) for key in right}
    if kind == "lose":
        return right | _lost(question, int(what))
    if kind not in {"slip", "fail"}:
        return right
    slips = {
        m.field: typed(question.field(m.field), m.value) for m in question.mistakes if m.id == what
    }
    if not slips:
        slips = _lost(question, 2)
    if kind == "fail":
        left = list(right)[len(right) // 2 :]
        slips = dict.fromkeys(left, "") | slips
    return right | slips


def _lost(question: Drawn, marks: int) -> Answers:
    """Wrong figures in the last lines worth so many marks, none of them dangerous."""
    lost: Answers = {}
    for field in reversed(question.fields):
        if field.safety is None and field.weight <= marks and field.kind in _WRONG:
            lost[field.key] = _more(question.key[field.key], field.kind)
            marks -= field.weight
    return lost


def _read(value: Value, points: int) -> str:
    """A share read by eye, so many points off, as people say it: between 0 and 100."""
    if not isinstance(value, Decimal):
        raise TypeError(f"Not a share: {value!r}")
    return shown_as(Kind.SHARE, min(max(round_half_up(value) + points, Decimal(0)), Decimal(100)))


def typed(field: Field, value: Value) -> str:
    """A value as an apprentice types it."""
    return field.printed(value)


def _more(value: Value, kind: Kind) -> str:
    """A figure that is off by seven, which no tolerance covers."""
    if not isinstance(value, Decimal):
        raise TypeError(f"Not a figure: {value!r}")
    return shown_as(kind, value + 7)
