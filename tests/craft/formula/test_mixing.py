"""Dilution, crossing and the bowl: what holds for every figure, and what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given, strategies as st

from academy.craft.formula.alligation import (
    can_be_made,
    crossed_parts,
    grams_of_each,
    parts_of_many,
    strength_of,
    stronger_to_add,
)
from academy.craft.formula.dilution import neutral_to_add, parts, stock_for, thinned, total_from
from academy.craft.formula.errors import FormulaError
from academy.craft.formula.mixture import (
    bowl_of,
    cream_in,
    developer_for,
    on_the_head,
    round_up_to,
    shared,
)
from academy.craft.formula.strength import percent_of_volume, volume_of_percent

D = Decimal
NEAR = D("1e-20")
grams = st.decimals(1, 500, places=1)
percents = st.decimals(1, 12, places=1)


@given(grams, percents, percents)
def test_a_thinned_developer_has_the_wanted_strength(
    total: Decimal, strong: Decimal, weak: Decimal
) -> None:
    assume(weak <= strong)
    stock = stock_for(total, strong, weak)
    assert abs(thinned(stock, strong, total - stock) - weak) < NEAR
    assert abs(total_from(stock, strong, weak) - total) < NEAR
    assert abs(neutral_to_add(stock, strong, weak) - (total - stock)) < NEAR


def test_thinning_cannot_strengthen() -> None:
    with pytest.raises(FormulaError, match="take a stronger stock"):
        stock_for(D(100), D(6), D(9))
    with pytest.raises(FormulaError, match="above zero"):
        stock_for(D(100), D(6), D(0))
    with pytest.raises(FormulaError, match="add nothing"):
        parts(D(6), D(6))


@given(grams, percents, percents, percents)
def test_crossing_gives_the_target_or_refuses(
    total: Decimal, high: Decimal, low: Decimal, target: Decimal
) -> None:
    assume(low < high)
    if can_be_made(high, low, target):
        stronger, weaker = grams_of_each(total, high, low, target)
        assert abs(strength_of([(stronger, high), (weaker, low)]) - target) < NEAR
    else:
        with pytest.raises(FormulaError, match="no mix is stronger or weaker"):
            grams_of_each(total, high, low, target)


@given(grams, st.lists(percents, min_size=3, max_size=3, unique=True))
def test_what_is_added_to_the_weaker_brings_it_to_the_target(
    weaker: Decimal, strengths: list[Decimal]
) -> None:
    low, target, high = sorted(strengths)
    added = stronger_to_add(weaker, high, low, target)
    assert abs(strength_of([(added, high), (weaker, low)]) - target) < NEAR


def test_nothing_brings_a_developer_to_the_stronger_one_itself() -> None:
    with pytest.raises(FormulaError, match="take it alone"):
        stronger_to_add(D(90), D(9), D(3), D(9))
    with pytest.raises(FormulaError, match="no mix is stronger or weaker"):
        stronger_to_add(D(90), D(9), D(3), D(12))


def test_a_target_that_is_a_stock_needs_no_mixing() -> None:
    with pytest.raises(FormulaError, match="mix nothing"):
        crossed_parts(D(12), D(6), D(6))


@given(st.lists(percents, min_size=3, max_size=6), percents)
def test_parts_of_many_strengths_give_the_target(strengths: list[Decimal], target: Decimal) -> None:
    assume(min(strengths) < target < max(strengths))
    found = parts_of_many(strengths, target)
    assert strength_of(list(zip(found, strengths, strict=True))) == target
    assert all(part >= 0 for part in found)


def test_many_strengths_on_one_side_are_refused() -> None:
    with pytest.raises(FormulaError, match="one strength above and one below"):
        parts_of_many([D(3), D(6), D(9)], D(12))
    with pytest.raises(FormulaError, match="above zero grams"):
        strength_of([(D(0), D(6))])


@given(grams, st.sampled_from([D(1), D("1.5"), D(2)]))
def test_a_bowl_goes_from_cream_to_parts_and_back(cream: Decimal, d: Decimal) -> None:
    bowl = bowl_of(cream, d)
    assert abs(cream_in(bowl, d) - cream) < NEAR
    assert cream + developer_for(cream, d) == bowl


def test_a_developer_is_weaker_on_the_head_than_in_the_bottle() -> None:
    assert on_the_head(D(9), D("1.5")) == D("5.4")


def test_shades_share_the_cream() -> None:
    assert shared(D(42), D(2), D(1)) == (D(28), D(14))


def test_rounding_up_leaves_a_multiple_alone() -> None:
    assert round_up_to(D("30.375"), D(4)) == 32
    assert round_up_to(D(32), D(4)) == 32


@given(st.decimals(1, 40, places=2))
def test_the_trade_table_goes_both_ways(volume: Decimal) -> None:
    assert abs(volume_of_percent(percent_of_volume(volume)) - volume) < NEAR
