from __future__ import annotations

from decimal import Decimal
from math import comb

import pytest
from hypothesis import given, strategies as st

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.sampling import falls_in, promise, sample_size


def test_23_of_60_make_95_per_cent_sure_that_fewer_than_1_in_10_are_wrong() -> None:
    assert sample_size(60, Decimal("0.10"), Decimal("0.95")) == 23
    assert promise(60, Decimal("0.10"), Decimal("0.95")) == (
        "If 23 of 60 drawn at random are all right, one can be 95 % sure "
        "that fewer than 10 % of them are wrong."
    )


def test_a_limit_that_is_met_exactly_is_met() -> None:
    assert sample_size(20, Decimal("0.05"), Decimal("0.90")) == 18


def test_in_a_small_batch_all_are_looked_at() -> None:
    assert sample_size(4, Decimal("0.10"), Decimal("0.95")) == 4
    assert sample_size(0, Decimal("0.10"), Decimal("0.95")) == 0


@given(st.integers(1, 300), st.integers(1, 40), st.sampled_from(["0.80", "0.90", "0.95"]))
def test_the_sample_is_the_smallest_that_keeps_the_promise(
    population: int, percent: int, confidence: str
) -> None:
    rate = Decimal(percent) / 100
    size = sample_size(population, rate, Decimal(confidence))
    wrong = max(1, round(rate * population))

    def keeps(n: int) -> bool:
        chance = 100 * comb(population - wrong, n)
        return chance <= (100 - int(Decimal(confidence) * 100)) * comb(population, n)

    assert keeps(size)
    assert not keeps(size - 1)


@pytest.mark.parametrize(("rate", "confidence"), [("0", "0.95"), ("1", "0.95"), ("0.1", "1")])
def test_shares_outside_0_to_1_are_refused(rate: str, confidence: str) -> None:
    with pytest.raises(JudgingError, match="between 0 and 1"):
        sample_size(60, Decimal(rate), Decimal(confidence))


def test_a_batch_below_nothing_is_refused() -> None:
    with pytest.raises(JudgingError, match="cannot be -1 decisions"):
        sample_size(-1, Decimal("0.1"), Decimal("0.9"))


def test_a_share_of_places_falls_into_a_sample_and_asking_again_says_the_same() -> None:
    drawn = [falls_in(4711, f"place {n}", Decimal(15)) for n in range(10_000)]
    assert drawn == [falls_in(4711, f"place {n}", Decimal(15)) for n in range(10_000)]
    # Four standard errors of a share of 0.15 in 10,000.
    assert abs(sum(drawn) - 1500) < 4 * (10_000 * 0.15 * 0.85) ** 0.5


@given(st.integers(0, 2**63), st.text(max_size=20))
def test_none_of_nothing_and_all_of_everything_fall_into_a_sample(seed: int, place: str) -> None:
    assert not falls_in(seed, place, Decimal(0))
    assert falls_in(seed, place, Decimal(100))


def test_a_share_beyond_100_percent_is_refused() -> None:
    with pytest.raises(JudgingError, match="between 0 and 100"):
        falls_in(1, "place", Decimal(101))
