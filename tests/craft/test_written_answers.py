"""Every kind of figure against every way of writing one that issue 3 names.

Each text is read rightly, or refused with a sentence that shows the form expected. `None` in the
table is a refusal. How people write figures: common practice, no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.exercise.spots import read_spot
from academy.craft.measure import Choice, Kind, Order, Ratio, Several, Value, read_answer

D = Decimal
TOO_LONG = "x" * 500
TEXTS = (
    "1,5",
    "1:1.5",
    "1 to 1.5",
    "30g",
    "30 grams",
    "20 vol",
    "20vol.",
    "6 %",
    " 45 min",
    "0:45",
    "½",
    "-",
    "abc",
    "\N{GRINNING FACE}",
    TOO_LONG,
    "1.500,0",
    "1,5,2",
)
LAYERS = tuple(Choice(letter, f"Layer {letter}") for letter in "abc")
CHOICES = {Kind.CHOICE: LAYERS, Kind.SEVERAL: LAYERS, Kind.ORDER: LAYERS}

# What each kind reads; what is not named here is refused.
READ: dict[Kind, dict[str, Value]] = {
    Kind.GRAMS: {"1,5": D("1.5"), "30g": D(30), "30 grams": D(30), "½": D("0.5")},
    Kind.STRENGTH: {
        "1,5": D("1.5"),
        "20 vol": D(6),  # trade.md 2.2: per cent = 0.3 × volume
        "20vol.": D(6),
        "6 %": D(6),
        "½": D("0.5"),
    },
    Kind.SHARE: {"1,5": D("1.5"), "6 %": D(6), "½": D("0.5")},
    Kind.RATIO: {"1:1.5": Ratio(2, 3), "1 to 1.5": Ratio(2, 3), "½": Ratio(1, 2)},
    Kind.PARTS: {"1:1.5": Ratio(2, 3), "1 to 1.5": Ratio(2, 3), "½": Ratio(1, 2)},
    Kind.MINUTES: {" 45 min": D(45), "0:45": D(45)},
    Kind.CLOCK: {"0:45": D(45)},
    Kind.DAY_TIME: {},
    Kind.DEPTH: {},
    Kind.COUNT: {},
    Kind.LENGTH: {"1,5": D("1.5"), "½": D("0.5")},
    Kind.AREA: {"1,5": D("1.5"), "½": D("0.5")},
    Kind.HOURS: {"1,5": D("1.5"), " 45 min": D("0.75"), "0:45": D("0.75"), "½": D("0.5")},
    Kind.MILLIMETRES: {"1,5": D("1.5"), "½": D("0.5")},
    Kind.STEPS: {},
    Kind.YES_NO: {},
    Kind.CHOICE: {},
    Kind.SEVERAL: {"-": Several(())},
    Kind.ORDER: {"abc": Order(("a", "b", "c"))},
    Kind.SPOT: {},
}

# What a refusal shows of the form expected.
FORM = {
    Kind.GRAMS: "Give grams, for example 45 g.",
    Kind.STRENGTH: "Give per cent or volume, for example 5 %.",
    Kind.SHARE: "Give per cent, for example 35 %.",
    Kind.RATIO: "or example 1:3.",
    Kind.PARTS: "or example 4:7.",
    Kind.MINUTES: "or example 12 min.",
    Kind.CLOCK: "Give hours and minutes, for example 08:05.",
    Kind.DAY_TIME: "Give the weekday with hours and minutes, for example Monday 08:05.",
    Kind.DEPTH: "Give a whole number from 1 to 10, for example 2.",
    Kind.COUNT: "Give a whole number, for example 7.",
    Kind.LENGTH: "Give centimetres, for example 4.2 cm.",
    Kind.AREA: "Give square centimetres, for example 610 cm².",
    Kind.HOURS: "Give hours, for example 20 h.",
    Kind.MILLIMETRES: "Give millimetres, for example 5 mm.",
    Kind.STEPS: "Give a whole number, for example 2 depths.",
    Kind.YES_NO: "Choose one of these: yes or no.",
    Kind.CHOICE: "Choose one of these: layer a, layer b or layer c.",
    Kind.SEVERAL: "Choose from these: layer a, layer b or layer c.",
    Kind.ORDER: "Give each of A, B, C one place.",
    Kind.SPOT: "Tap the place on the head",
}


def test_the_table_names_every_kind() -> None:
    assert set(READ) == set(FORM) == set(Kind)


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: repr(text[:12]))
@pytest.mark.parametrize("kind", Kind)
def test_a_text_is_read_rightly_or_refused_with_the_form_expected(kind: Kind, text: str) -> None:
    if kind is Kind.SPOT:
        reading = read_spot(text)
    else:
        reading = read_answer(kind, text, CHOICES.get(kind, ()))
    assert reading.text == text
    assert reading.value == READ[kind].get(text)
    if reading.understood:
        assert reading.sentence.startswith("Reads as ")
    else:
        assert FORM[kind] in reading.sentence
        assert len(reading.sentence) < 240


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (Kind.RATIO, "1:1½", Ratio(2, 3)),
        (Kind.RATIO, "1 : 1 1/2", Ratio(2, 3)),
        (Kind.RATIO, "½:1", Ratio(1, 2)),
        (Kind.RATIO, "2/3", Ratio(2, 3)),
        (Kind.PARTS, "3 and 5", Ratio(3, 5)),
        (Kind.PARTS, "3 parts + 5 parts", Ratio(3, 5)),
        (Kind.GRAMS, "= 30 g", D(30)),
        (Kind.GRAMS, "~30", D(30)),
        (Kind.GRAMS, "≈ 30,0 g.", D(30)),
        (Kind.LENGTH, "42 mm", D("4.2")),
        (Kind.MILLIMETRES, "1,4 cm", D(14)),
        (Kind.HOURS, "2 days", D(48)),
        (Kind.HOURS, "90 minutes", D("1.5")),
        (Kind.HOURS, "1 h 30", D("1.5")),
        (Kind.MINUTES, "1.5 h", D(90)),
        (Kind.MINUTES, "1h10min", D(70)),
        (Kind.DEPTH, "6.0", D(6)),
        (Kind.DEPTH, "depth6", D(6)),
        (Kind.STEPS, "\N{MINUS SIGN}2", D(-2)),
        (Kind.STEPS, "- 2 depths", D(-2)),
        (Kind.CLOCK, "at 11:30", D(690)),
        (Kind.CLOCK, "11.30 o’clock", D(690)),
    ],
)
def test_other_ways_of_writing_the_same_figure_lose_no_mark(
    kind: Kind, text: str, value: Value
) -> None:
    assert read_answer(kind, text).value == value


@pytest.mark.parametrize("text", ["135 40", "135; 40", "135, 40", "135.0 40,0"])
def test_two_angles_are_a_place_on_the_head(text: str) -> None:
    spot = read_spot(text)
    assert spot.understood
    assert spot.value == read_spot("135 40").value


def test_a_reason_keeps_the_example_beside_it() -> None:
    assert read_answer(Kind.MINUTES, "45.5").sentence == (
        "Times are in whole minutes. Round to the minute. For example 12 min."
    )
    assert read_answer(Kind.RATIO, "0:1", avoid=Ratio(1, 3)).sentence == (
        "Both parts of a ratio must be above zero. For example 1:4."
    )
