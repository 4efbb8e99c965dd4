"""Undertone and counter-tone. Figures: trade.md 2.8 and 4.7, and shared/checks/wheel.csv."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.undertone import (
    ACCEPTED_COUNTER_TONES,
    ACCEPTED_STAGES,
    OFF_THE_WHEEL,
    SHADE_WORDS,
    STAGES,
    TRADE_WORDS,
    WHEEL,
    HowStrong,
    counter_grams,
    neighbours,
    opposite,
    place_on_wheel,
    stage_at,
    undertone_at,
)
from academy.craft.rules import Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
WHEEL_ROWS = Path(__file__).parents[3] / "shared" / "checks" / "wheel.csv"

# trade.md 2.8: depth, what shows, counter-tone, also accepted.
CHART = (
    (1, "plum-black", "green", ()),
    (2, "red-violet", "green", ("yellow-green",)),
    (3, "red, dark", "green", ()),
    (4, "red-orange", "blue-green", ("green", "blue")),
    (5, "orange", "blue", ("blue-green",)),
    (6, "gold-orange", "blue-violet", ("blue",)),
    (7, "gold", "blue-violet", ("blue", "violet")),
    (8, "deep yellow", "violet", ("blue-violet",)),
    (9, "yellow", "violet", ()),
    (10, "pale yellow", "violet", ()),
)


@pytest.mark.parametrize(("depth", "stage", "counter_tone", "accepted"), CHART)
def test_the_chart_names_stage_and_counter_tone(
    depth: int, stage: str, counter_tone: str, accepted: tuple[str, ...]
) -> None:
    found = undertone_at(depth, RULES)
    assert (found.stage.word, found.counter_tone.word) == (stage, counter_tone)
    assert found.accepted_counter_tones == accepted
    assert found.stage.sentence == f"{stage}, the standard rule"
    assert STAGES[depth - 1] == stage


def test_at_depth_five_red_orange_is_accepted_as_well() -> None:
    assert undertone_at(5, RULES).accepted_stages == ("red-orange",)
    assert set(ACCEPTED_STAGES) == {5}


@pytest.mark.parametrize("depth", [0, 11])
def test_there_are_ten_depths(depth: int) -> None:
    with pytest.raises(FormulaError, match="from 1 to 10"):
        undertone_at(depth, RULES)
    with pytest.raises(FormulaError):
        stage_at(depth, RULES)


def test_a_house_that_takes_another_word_accepts_only_its_own() -> None:
    house = {"counter_tone.7": "violet", "undertone.5": "red-orange", "counter_tone.8": "violet"}
    rules = Rules(BOOK, house, None, 3)
    seven = undertone_at(7, rules)
    assert seven.counter_tone.sentence == "violet, from your house rule 3"
    assert seven.accepted_counter_tones == ()
    assert undertone_at(5, rules).accepted_stages == ()
    # Depth 8 repeats the chart's word, so what the chart accepts still counts.
    assert undertone_at(8, rules).accepted_counter_tones == ("blue-violet",)


def test_the_wheel_is_a_ring_of_twelve() -> None:
    assert len(set(WHEEL)) == 12
    assert all(opposite(opposite(tone)) == tone for tone in WHEEL)
    assert all(tone in neighbours(neighbours(tone)[1]) for tone in WHEEL)
    assert neighbours("red") == ("red-violet", "red-orange")


@pytest.mark.parametrize(
    ("one", "other"), [("red", "green"), ("orange", "blue"), ("yellow", "violet")]
)
def test_the_pairs_of_the_open_textbook_are_opposites(one: str, other: str) -> None:
    assert opposite(one) == other
    assert opposite(other) == one


def test_the_declared_wheel_names_the_same_opposites_and_cielab_does_not() -> None:
    lines = WHEEL_ROWS.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# source: ")
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert len(rows) == 4
    for row in rows:
        assert opposite(row["stage"]) == row["counter_tone"]
    assert max(abs(D(row["wheel_minus_cielab_deg"])) for row in rows) > 70


def test_words_of_the_trade_have_their_place_on_the_wheel() -> None:
    # trade.md 4.7, "Words on it".
    places = {
        "red, dark": "red",
        "plum-black": "red-violet",
        "mahogany": "red-violet",
        "copper": "orange",
        "gold-orange": "orange",
        "gold": "yellow-orange",
        "deep yellow": "yellow",
        "pale yellow": "yellow",
        "matt": "green",
        "ash": "blue",
        "pearl": "violet",
    }
    assert places == TRADE_WORDS
    assert {word: place_on_wheel(word) for word in places} == places
    assert all(place_on_wheel(tone) == tone for tone in WHEEL)
    assert all(place_on_wheel(stage) in WHEEL for stage in STAGES)


def test_natural_brown_and_beige_are_off_the_wheel() -> None:
    assert {"natural", "brown", "beige"} == OFF_THE_WHEEL
    assert all(place_on_wheel(word) is None for word in OFF_THE_WHEEL)


def test_an_unknown_word_is_refused_with_an_example() -> None:
    with pytest.raises(FormulaError, match="no tone of the wheel, for example"):
        place_on_wheel("turquoise")


def test_every_counter_tone_has_its_shade_word() -> None:
    assert {counter_tone for _, _, counter_tone, _ in CHART} == set(SHADE_WORDS)
    assert all(set(tones) <= set(WHEEL) for tones in ACCEPTED_COUNTER_TONES.values())


@pytest.mark.parametrize(("how_strong", "grams"), [("slight", 4), ("clear", 8), ("strong", 16)])
def test_the_stronger_the_tone_the_more_of_its_opposite(how_strong: str, grams: int) -> None:
    # trade.md 2.8: 10, 20, 40 % of the cream.
    share = RULES.number("counter_share", how_strong=HowStrong(how_strong).value)
    assert counter_grams(D(40), share) == grams
