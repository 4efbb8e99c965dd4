"""No mark is lost for how a right answer is written, in any family. Common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.exercise.engine import Field, Level, families
from academy.craft.measure import (
    NONE,
    Kind,
    Order,
    Ratio,
    Several,
    Spot,
    Value,
    clock,
    day_time,
    shown,
    shown_as,
)
from tests.craft.exercise.test_every_family import drawn

D = Decimal
UNITS = {
    Kind.GRAMS: ("g", " g", " G", " grams", " gr", " g."),
    Kind.STRENGTH: ("%", " %", " per cent", " percent"),
    Kind.SHARE: ("%", " %", " per cent", " pc"),
    Kind.COUNT: ("", ".0"),
    Kind.LENGTH: ("cm", " cm", " centimetres"),
    Kind.AREA: (" cm2", " cm²", " sq cm", " square centimetres"),
    Kind.HOURS: ("h", " hours", " hrs"),
    Kind.MINUTES: ("min", " mins", " minutes", "'"),
    Kind.MILLIMETRES: ("mm", " mm", " millimetres"),
}
ALSO_NONE = {Kind.GRAMS: ("0", "0 g", "0 grams")}


def ways(field: Field, value: Value) -> list[str]:
    """How people write this value."""
    if isinstance(value, Decimal):
        return figure_ways(field.kind, value)
    if isinstance(value, Ratio):
        return ratio_ways(value)
    if isinstance(value, Spot):
        return [f"{value.azimuth} {value.elevation}", f"{value.azimuth}, {value.elevation}"]
    return choice_ways(field, value)


def choice_ways(field: Field, value: Several | Order | str) -> list[str]:
    if isinstance(value, Several):
        named = [choice.label for choice in field.choices if choice.key in value.keys]
        return [sign.join(named) or NONE for sign in (", ", "; ", "\n", " and ")]
    if isinstance(value, Order):
        letters = [key.upper() for key in value.keys]
        return [sign.join(letters) for sign in (", ", " ", "", "-", " > ", "→", "\n", ". ")]
    if not field.choices:
        return ["none", "None.", "NONE", "-", "–", "n/a", *ALSO_NONE.get(field.kind, ())]
    (meant,) = (choice for choice in field.choices if choice.key == value)
    return [meant.label, meant.label.upper(), f"{meant.label}.", f" {meant.key} ", *meant.also]


def figure_ways(kind: Kind, value: Decimal) -> list[str]:
    if kind is Kind.CLOCK:
        hours, minutes = clock(value).split(":")
        half = f"{int(hours) % 12 or 12}.{minutes} {'pm' if int(hours) > 11 else 'am'}"
        parted = [f"{int(hours)}{mark}{minutes}" for mark in (":", ".", "h", " : ")]
        return [*parted, f"{hours}{minutes}", half, f"at {hours}:{minutes}"]
    if kind is Kind.DAY_TIME:
        day, time = day_time(value).split()
        return [f"{day[:3]} {time}", f"{time} {day}", f"{day}, {time}", f"{day} at {time}"]
    if kind is Kind.DEPTH:
        return [shown(value), f"depth {shown(value)}", f"Level {shown(value)}"]
    if kind is Kind.STEPS:
        plain = shown(value).replace("−", "-")
        return [plain, f"{shown(value)} depths", f"{plain} levels"]
    plain = shown_as(kind, value).split(" ")[0]
    marks = [plain, plain.replace(".", ",")]
    found = [f" {plain} ", f"= {plain}", *(mark + unit for mark in marks for unit in UNITS[kind])]
    volume = value / D("0.3")
    if kind is Kind.STRENGTH and volume == int(volume):
        found += [f"{shown(volume)}vol", f"{shown(volume)} vol.", f"{shown(volume)} volume"]
    return found


def ratio_ways(value: Ratio) -> list[str]:
    one, other = value.first, value.second
    found = [f"{one}:{other}", f"{one} to {other}", f"{2 * one} : {2 * other}", f"{one}/{other}"]
    d = shown(value.second_to_one, 4)
    if D(d) * one == other:
        found += [f"1:{d}", f"1 : {d.replace('.', ',')}", f"1 part to {d} parts", f"1 to {d}"]
    return found


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("family", [family.key for family in families()])
def test_no_mark_is_lost_for_how_a_right_answer_is_written(family: str, level: Level) -> None:
    for question in drawn(family, level, "standard")[:40]:
        for field in question.fields:
            right = question.key[field.key]
            for value in (right, *field.also):
                for written in ways(field, value):
                    reading = question.read(field.key, written)
                    assert reading.value is not None, (field.key, written, reading.sentence)
                    assert field.earns(right, reading.value), (field.key, written)
