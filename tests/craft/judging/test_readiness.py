from __future__ import annotations

from datetime import date

import pytest

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.outcome import ByMarks
from academy.craft.judging.readiness import (
    heads_in_a_row,
    months_before,
    pass_rate_words,
    wilson_interval,
)

YES, NO = ByMarks.COMPETENT, ByMarks.NOT_YET


@pytest.mark.parametrize(
    ("results", "run"),
    [([], 0), ([YES], 1), ([YES, YES, NO], 0), ([YES, NO, YES, YES], 2), ([YES, YES, YES], 3)],
)
def test_heads_in_a_row_are_counted_from_the_newest_back(results: list[ByMarks], run: int) -> None:
    assert heads_in_a_row(results) == run


def test_the_day_months_before_stays_in_its_month() -> None:
    assert months_before(date(2024, 2, 29), 12) == date(2023, 2, 28)
    assert months_before(date(2026, 1, 31), 2) == date(2025, 11, 30)


@pytest.mark.parametrize(
    ("successes", "n", "words"),
    [(3, 3, "44–100 %"), (5, 5, "57–100 %"), (9, 10, "60–98 %")],
)
def test_the_honest_interval_stands_beside_the_count(successes: int, n: int, words: str) -> None:
    assert words in pass_rate_words(successes, n)


@pytest.mark.parametrize(("successes", "n"), [(0, 0), (4, 3), (-1, 3)])
def test_a_count_that_cannot_be_is_refused(successes: int, n: int) -> None:
    with pytest.raises(JudgingError, match="no count to judge by"):
        wilson_interval(successes, n)


def test_a_confidence_outside_0_to_1_is_refused() -> None:
    with pytest.raises(JudgingError, match="between 0 and 1"):
        wilson_interval(1, 2, confidence=95)
