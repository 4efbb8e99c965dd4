"""The gate. Figures: trade.md 4.13 and 2.11, computed; rows C67 and C68 of the published checks."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from academy.craft.formula.gate import (
    Against,
    Appointment,
    Bounds,
    Gate,
    earliest_service,
    hours_between,
    hours_by_dates,
)
from academy.craft.measure import day_time, of_day_time
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
BOUNDS = Gate.of(Rules(BOOK)).bounds
FINE = Appointment(age=D(17), hours_since_test=D(50), clear=True)


def test_the_standard_bounds_are_those_of_the_trade_page() -> None:
    assert Bounds(hours=D(48), days=D(84), age=D(16), peroxide=D(12)) == BOUNDS


def test_nothing_is_found_against_a_plain_appointment() -> None:
    assert FINE.against(BOUNDS) == frozenset()


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"age": D(15)}, Against.AGE),
        ({"hours_since_test": D("47.5")}, Against.HOURS),
        ({"hours_since_test": D(84 * 24) + 1}, Against.DAYS),
        ({"clear": False}, Against.READING),
        ({"same_product": False}, Against.PRODUCT),
        ({"contra_indication": True}, Against.CONTRA_INDICATION),
        ({"peroxide": D("12.1")}, Against.PEROXIDE),
        ({"ingredient": D("1.3"), "ingredient_limit": D("1.25")}, Against.INGREDIENT),
    ],
)
def test_each_reason_stands_by_itself(changed: dict[str, object], reason: Against) -> None:
    assert replace(FINE, **changed).against(BOUNDS) == {reason}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "changed",
    [
        {"age": D(16)},
        {"hours_since_test": D(48)},
        {"hours_since_test": D(84 * 24)},
        {"peroxide": D(12)},
        {"ingredient": D("1.25"), "ingredient_limit": D("1.25")},
    ],
)
def test_exactly_at_a_bound_is_no_reason(changed: dict[str, Decimal]) -> None:
    assert not replace(FINE, **changed).against(BOUNDS)  # type: ignore[arg-type]


def test_hours_are_counted_not_dates() -> None:
    tested, service = of_day_time("Tuesday 14:00"), of_day_time("Thursday 13:00")
    assert hours_between(tested, service) == 47
    assert hours_by_dates(tested, service) == 48
    assert day_time(earliest_service(tested, BOUNDS)) == "Thursday 14:00"


def test_the_house_and_the_label_can_only_make_it_stricter() -> None:
    label = replace(training_labels()["training-cream-a"], skin_test_hours=D(24))
    house = {"skin_test_hours": D(60), "minimum_age": D(18), "skin_test_days": D(28)}
    bounds = Gate.of(Rules(BOOK, house, label, 3)).bounds
    assert bounds == Bounds(hours=D(60), days=D(28), age=D(18), peroxide=D(12))
    stricter = replace(label, skin_test_hours=D(72))
    assert Gate.of(Rules(BOOK, house, stricter, 3)).bounds.hours == 72
