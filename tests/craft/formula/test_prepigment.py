"""Pre-pigmentation. Figures: trade.md 2.6 and 4.15."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.prepigment import (
    depths_darker,
    is_needed,
    pre_pigment,
    pre_pigment_grams,
)
from academy.craft.rules import Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)


def test_from_depth_nine_to_depth_six_is_filled_with_gold_orange() -> None:
    plan = pre_pigment(9, 6, RULES)
    assert plan.difference == 3
    assert plan.needed
    assert plan.warmth.stage.word == "gold-orange"
    assert plan.shade_depth == 7
    assert plan.grams(D(40)) == 20
    assert plan.developer.number == 3
    assert plan.filler_developer.number == 0


def test_two_depths_darker_keep_enough_warmth_by_the_standard_rule() -> None:
    assert not pre_pigment(8, 6, RULES).needed
    house = pre_pigment(8, 6, Rules(BOOK, {"prepigment_from": D(2)}, None, 3))
    assert house.needed
    assert house.needed_from.sentence == "2 depths, from your house rule 3"


def test_the_rule_itself_is_enough() -> None:
    assert [is_needed(D(depths), D(3)) for depths in (2, 3, 4)] == [False, True, True]
    assert depths_darker(6, 9) == -3


def test_house_rules_move_shade_and_weight() -> None:
    house = {"prepigment_lighter": D(2), "prepigment_cream_share": D(25)}
    plan = pre_pigment(10, 5, Rules(BOOK, house))
    assert plan.shade_depth == 7
    assert plan.grams(D(60)) == 15
    assert pre_pigment_grams(D(60), D(25)) == 15


def test_no_shade_is_lighter_than_depth_ten() -> None:
    assert pre_pigment(10, 9, Rules(BOOK, {"prepigment_lighter": D(2)})).shade_depth == 10


@pytest.mark.parametrize("target", [6, 7])
def test_filling_is_for_hair_that_goes_darker(target: int) -> None:
    with pytest.raises(FormulaError, match="is not darker than depth 6"):
        pre_pigment(6, target, RULES)
