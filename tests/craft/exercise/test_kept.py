"""What is kept for speed changes nothing: decided values, figures as they are printed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.exercise.engine import Level, draw
from academy.craft.measure import shown
from academy.craft.rules import DecidedBy, Rules, standard_rules


def test_a_rule_decided_again_is_the_same_and_each_label_decides_for_itself() -> None:
    rules = Rules(standard_rules(), {"mixing_ratio.permanent": Decimal("1.5")}, None, 3)
    first = rules.decide("mixing_ratio", kind="permanent")
    assert rules.decide("mixing_ratio", kind="permanent") is first
    assert first.decided_by is DecidedBy.HOUSE
    other = Rules(standard_rules())
    assert other.decide("mixing_ratio", kind="permanent").decided_by is DecidedBy.DEFAULT


def test_the_order_of_draws_does_not_change_a_question() -> None:
    fresh = draw("cover-white-hair", Level.EXAM, 5, Rules(standard_rules()))
    used = Rules(standard_rules())
    for seed in range(20):
        draw("cover-white-hair", Level.WORKING, seed, used)
    assert draw("cover-white-hair", Level.EXAM, 5, used) == fresh


def test_a_binary_float_is_refused_although_its_figure_was_printed_before() -> None:
    assert shown(1) == shown(Decimal("1.0")) == "1"
    with pytest.raises(TypeError):
        shown(1.0)
