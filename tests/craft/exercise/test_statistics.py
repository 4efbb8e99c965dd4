"""What the sheets of a cohort say about a question."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from academy.craft.exercise.statistics import (
    FEWEST_TO_SEPARATE,
    Separates,
    correlation,
    median_minutes,
    minutes_taken,
    separations,
    share_of,
)

# Thirty departments by seven questions: the attitude survey of Chatterjee and Price, Regression
# Analysis by Example (1977), table 3.3.
SURVEY = """
43 63 71 61 81 43 58 71 72 67 64 67 69 68 77 81 74 65 65 50 50 64 53 40 63 66 78 48 85 82
51 64 70 63 78 55 67 75 82 61 53 60 62 83 77 90 85 60 70 58 40 61 66 37 54 77 75 57 85 82
30 51 68 45 56 49 42 50 72 45 53 47 57 83 54 50 64 65 46 68 33 52 52 42 42 66 58 44 71 39
39 54 69 47 66 44 56 55 67 47 58 39 42 45 72 72 69 75 57 54 34 62 50 58 48 63 74 45 71 59
61 63 76 54 71 54 66 70 71 62 58 59 55 59 79 60 79 55 75 64 43 66 63 50 66 88 80 51 77 64
92 73 86 84 83 49 68 66 83 80 67 74 63 77 77 54 79 80 85 78 64 80 80 57 75 76 78 83 74 78
45 47 48 35 47 34 35 41 31 41 34 41 25 35 46 36 63 60 46 52 33 41 37 49 33 72 49 38 55 39
"""
# The correlation of each of the seven with the sum of the others, as the manual of R's package
# psych prints it for these data (function alpha, column r.drop, two decimals).
WITH_THE_REST = [0.67, 0.74, 0.56, 0.71, 0.79, 0.27, 0.46]

NINE = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return NINE + timedelta(minutes=minutes)


def test_the_figure_is_that_of_a_published_table() -> None:
    columns = [[int(figure) for figure in line.split()] for line in SURVEY.split("\n") if line]
    rows = list(zip(*columns, strict=True))
    assert len(rows) == 30
    found = separations(rows)
    assert [round(one.correlation or 0, 2) for one in found] == WITH_THE_REST
    assert found[5].means is Separates.LITTLE
    assert {one.means for n, one in enumerate(found) if n != 5} == {Separates.WELL}


def test_a_question_that_the_strong_miss_is_to_be_looked_at() -> None:
    mixed = separations([*[[2, 2, 2, 0]] * 10, *[[0, 0, 0, 1]] * 10])
    assert [one.means for one in mixed] == [Separates.WELL] * 3 + [Separates.LOOK]
    assert "the strong miss it more often" in mixed[3].means.words


def test_below_the_stated_number_of_sheets_nothing_is_said() -> None:
    rows = [[2, 2], [0, 0]] * (FEWEST_TO_SEPARATE // 2)
    assert separations(rows[:-1])[0].means is Separates.TOO_FEW
    assert separations(rows[:-1])[0].correlation is None
    assert separations(rows)[0].correlation == pytest.approx(1)
    assert separations([]) == []


def test_what_everybody_gets_alike_separates_nobody_and_one_question_has_no_rest() -> None:
    alike, other = separations([[2, n % 3] for n in range(30)])
    assert (alike.means, alike.correlation) == (Separates.ALIKE, None)
    assert other.means is Separates.ALIKE
    (alone,) = separations([[n % 3] for n in range(30)])
    assert alone.means is Separates.ALONE


def test_a_correlation_of_what_does_not_vary_is_none() -> None:
    assert correlation([]) is None
    assert correlation([(1, 2), (1, 3)]) is None
    assert correlation([(1, 3), (2, 2), (3, 1)]) == pytest.approx(-1)


def test_a_share_has_its_interval_or_says_that_sheets_are_few() -> None:
    # Newcombe (1998), Statistics in Medicine 17, table I, method 3: 81 of 263.
    share = share_of(81, 263)
    assert share.interval is not None
    assert (round(share.interval.low, 4), round(share.interval.high, 4)) == (0.2553, 0.3662)
    assert share.percent == 30
    assert share_of(4, 4).interval is None
    assert share_of(0, 0).percent == 0
    assert share_of(199, 200).percent == 99


def test_a_question_takes_the_time_since_the_one_before_was_left() -> None:
    assert minutes_taken(NINE, {1: at(4), 2: at(10), 3: at(10.5)}) == {1: 4, 2: 6, 3: 0.5}


def test_the_order_of_answering_counts_not_that_of_the_paper() -> None:
    assert minutes_taken(NINE, {1: at(9), 2: at(3)}) == {2: 3, 1: 6}


def test_after_a_long_pause_only_that_question_is_left_out() -> None:
    assert minutes_taken(NINE, {1: at(5), 2: at(21), 3: at(23)}) == {1: 5, 3: 2}
    assert minutes_taken(NINE, {1: at(15)}) == {1: 15}
    assert minutes_taken(NINE, {1: at(-1), 2: at(2)}) == {2: 2}


def test_the_middle_time_needs_five_sheets() -> None:
    assert median_minutes([1, 2, 3, 4]) is None
    assert median_minutes([9, 1, 2, 8, 3]) == 3
