"""How an eye reads over time, against sums with fractions, and what it is told."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from statistics import stdev

import pytest
from hypothesis import given, strategies as st

from academy.craft.exercise.eye import (
    LATEST,
    LEAST,
    EyeReading,
    bias_of,
    by_month,
    latest,
    month_before,
)
from academy.craft.exercise.eye_words import Reader, average, headline, scatter, spread, way
from academy.craft.measure import Spot

D = Decimal
SEPTEMBER, NOVEMBER = date(2026, 9, 7), date(2026, 11, 2)
WHITE, CORNERS = "eye-white-share", "eye-corners"
YOU = Reader()


def numbers(errors: list[int | str], since: date = NOVEMBER, right: int = 50) -> list[EyeReading]:
    return [
        EyeReading(since + timedelta(days=day), D(right), right + D(error))
        for day, error in enumerate(errors)
    ]


def spots(offsets: list[tuple[int, int, int]], since: date = NOVEMBER) -> list[EyeReading]:
    right = Spot(D(0), D(50), (D(10), D(20), D(70)))
    return [
        EyeReading(
            since,
            right,
            Spot(D(0), D(50), (right.at_mm[0] + x, right.at_mm[1] + y, right.at_mm[2] + z)),
        )
        for x, y, z in offsets
    ]


@given(st.lists(st.integers(-60, 60), min_size=LEAST, max_size=40))
def test_mean_and_spread_are_those_of_a_sample(errors: list[int]) -> None:
    bias = bias_of(numbers(list(errors)))
    assert bias is not None
    assert bias.count == len(errors)
    assert float(bias.mean) == pytest.approx(float(Fraction(sum(errors), len(errors))))
    assert float(bias.spread) == pytest.approx(stdev(errors), abs=1e-9)
    assert bias.drift_mm is None


@given(st.lists(st.integers(-60, 60), max_size=LEAST - 1))
def test_fewer_than_five_readings_say_nothing(errors: list[int]) -> None:
    assert bias_of(numbers(list(errors))) is None


def test_somebody_is_told_their_bias_and_what_it_was() -> None:
    readings = numbers([-15, -14, -16, -13, -17], SEPTEMBER) + numbers([-8, -7, -9, -8, -8] * 2)
    told = headline(WHITE, readings, YOU)
    assert told == "You read white 8 points too low; it was 15 in September"
    assert headline(WHITE, readings, Reader("Tamsin Orle")).startswith("Tamsin Orle reads white")
    assert scatter(WHITE, readings) == "Single readings lie about 1 point away from that."


def test_a_bias_that_has_turned_is_told_with_its_side() -> None:
    readings = numbers([6] * 5, SEPTEMBER) + numbers([-3] * 10)
    told = headline(WHITE, readings, YOU)
    assert told == "You read white 3 points too low; it was 6 points too high in September"


def test_who_reads_evenly_is_told_so() -> None:
    assert headline(WHITE, numbers([4, -4, 1, -1, 0]), YOU) == (
        "You read white neither too low nor too high on the whole"
    )
    assert average(WHITE, bias_of(numbers([4, -4, 1, -1, 0]))) == "even"


def test_too_few_readings_are_counted_against_what_is_needed() -> None:
    assert headline(WHITE, numbers([-20]), YOU) == "Too few to say: 1 reading, 5 are needed"
    assert scatter(WHITE, numbers([-20])) == ""
    assert (average(WHITE, None), spread(WHITE, None)) == ("Too few to say", "")


def test_depths_are_told_to_a_tenth_and_by_light_and_dark() -> None:
    told = headline("eye-depth", numbers([1, 0, 1, 0, 0], right=5), YOU)
    assert told == "You read depth 0.4 depths too light"
    assert headline("eye-depth", numbers([-1] * 5, right=5), YOU).endswith("1 depth too dark")


@pytest.mark.parametrize(
    ("offset", "words"),
    [
        ((0, -9, 1), "too far back"),
        ((0, 9, 1), "too far forward"),
        ((8, 2, 0), "too far to the left"),
        ((-8, 2, 0), "too far to the right"),
        ((1, 2, -7), "too far down"),
        ((1, 2, 7), "too far up"),
    ],
)
def test_corners_drift_in_the_wearer_s_directions(offset: tuple[int, int, int], words: str) -> None:
    bias = bias_of(spots([offset] * 5))
    assert bias is not None
    assert way(bias) == words


def test_corners_are_told_by_distance_and_direction() -> None:
    readings = spots([(0, -12, 0)] * 5, SEPTEMBER) + spots([(0, -7, 0)] * 10)
    told = headline(CORNERS, readings, YOU)
    assert told == "Your corners lie 7 mm off, mostly too far back; it was 12 mm in September"
    assert headline(CORNERS, readings, Reader("Ida")).startswith("Ida’s corners lie 7 mm off")
    assert average(CORNERS, bias_of(readings[:5])) == "12 mm off, too far back"


def test_corners_that_lie_off_all_round_drift_nowhere() -> None:
    around = [(9, 0, 0), (-9, 0, 0), (0, 9, 0), (0, -9, 0), (0, 0, 1)]
    assert headline(CORNERS, spots(around), YOU) == (
        "Your corners lie 7 mm off, in no one direction"
    )


def test_months_keep_their_own_readings_and_the_latest_ten_stand_apart() -> None:
    readings = numbers([-15] * 6, SEPTEMBER) + numbers([-8] * 12)
    months = by_month(readings)
    assert [(month.first, len(month.readings)) for month in months] == [
        (date(2026, 9, 1), 6),
        (date(2026, 11, 1), 12),
    ]
    assert latest(readings) == tuple(readings[-LATEST:])
    before = month_before(readings)
    assert before is not None
    assert (before.first, before.bias) == (date(2026, 9, 1), bias_of(readings[:6]))
    assert month_before(readings[-12:]) is None


def test_a_month_of_another_year_is_told_with_its_year() -> None:
    readings = numbers([-15] * 5, date(2025, 10, 6)) + numbers([-8] * 10)
    assert headline(WHITE, readings, YOU).endswith("it was 15 in October 2025")


def test_a_word_is_no_reading() -> None:
    with pytest.raises(TypeError, match="numbers or spots"):
        _ = EyeReading(NOVEMBER, D(5), "none").off
