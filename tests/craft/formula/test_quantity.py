"""How much to mix, and how far hair has grown."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.formula.growth import months_of, regrowth_after
from academy.craft.formula.quantity import quantity_for
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())


def test_a_regrowth_of_two_centimetres_on_480_square_centimetres() -> None:
    """trade.md 4.5, computed."""
    found = quantity_for(D(480), D("2.0"), D("1.5"), RULES)
    assert (found.need, found.bowl, found.cream, found.developer) == tuple(map(D, (72, 75, 30, 45)))


def test_seven_weeks_on_front_and_sides() -> None:
    """trade.md 4.17, computed: 172.8 cm², 2.01 cm, need 26.1, bowl 30."""
    grown = regrowth_after(D(7), RULES.number("growth"))
    assert round(grown, 2) == D("2.01")
    found = quantity_for(D("172.8"), grown, D(1), RULES)
    assert round(found.need, 1) == D("26.1")
    assert (found.bowl, found.cream) == (D(30), D(15))


def test_a_ratio_without_a_step_is_not_rounded() -> None:
    found = quantity_for(D(100), D(1), D(3), RULES)
    assert found.step is None
    assert found.bowl == found.need


@pytest.mark.parametrize("cm", ["0.8", "1.25", "1.5"])
def test_months_and_weeks_agree(cm: str) -> None:
    weeks = months_of(D(2), D(cm)) * D("30.44") / 7
    assert abs(regrowth_after(weeks, D(cm)) - 2) < D("1e-20")
