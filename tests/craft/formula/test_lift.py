"""Lift, product, strength, powder, exposure. Figures: trade.md 2.2, 2.4, 2.7, 2.9, 2.10, 4.8."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from academy.craft.formula.errors import FormulaError
from academy.craft.formula.exposure import Nearness, lightener_exposure
from academy.craft.formula.lift import (
    PRODUCT_OF,
    Hair,
    Ladder,
    Lift,
    Place,
    lift_needed,
    lift_with,
    lightener_limit,
    powder_factor,
    powder_needed,
    strength_for,
)
from academy.craft.rules import DecidedBy, Label, Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
LADDER = Ladder.of(RULES)
FOILS, SCALP = Place.FOILS, Place.SCALP


@pytest.mark.parametrize(
    ("percent", "lift"), [(3, (0, 0, 1)), (6, (1, 2, 2)), (9, (2, 3, 3)), (12, (3, 4, 4))]
)
def test_lift_by_strength_is_the_rule_of_thumb(percent: int, lift: tuple[int, int, int]) -> None:
    # Common practice, no source.
    assert lift_with(D(percent), RULES) == Lift(*map(D, lift))


def test_colour_does_not_lift_colour() -> None:
    assert lift_with(D(12), RULES, tinted=True) == Lift(D(0), D(0), D(0))


def test_lift_is_not_taught_for_other_strengths() -> None:
    with pytest.raises(FormulaError, match=r"not for 4\.5 %"):
        lift_with(D("4.5"), RULES)


def test_a_lighter_wish_is_a_lift_and_a_darker_one_is_below_zero() -> None:
    assert lift_needed(5, 8) == 3
    assert lift_needed(6, 5) == -1


@pytest.mark.parametrize(
    ("depth", "lift", "task"),
    [
        (5, -1, "deposit"),
        (5, 0, "deposit"),
        (5, 1, "lift_1_2"),
        (5, 2, "lift_1_2"),
        (5, 3, "lift_3"),
        (6, 4, "high_lift"),
        (8, 4, "high_lift"),
        (5, 4, "lightener_scalp"),
        (6, 5, "lightener_scalp"),
    ],
)
def test_on_natural_hair_at_the_scalp_colour_climbs_the_ladder(
    depth: int, lift: int, task: str
) -> None:
    assert LADDER.task_for(D(lift), Hair(depth, tinted=False, place=SCALP)) == task


@pytest.mark.parametrize("lift", [1, 2, 3, 4, 7])
def test_tinted_hair_and_foils_take_lightener_for_any_lift(lift: int) -> None:
    assert LADDER.task_for(D(lift), Hair(7, tinted=True, place=SCALP)) == "lightener_scalp"
    assert LADDER.task_for(D(lift), Hair(7, tinted=True, place=FOILS)) == "lightener_foils"
    assert LADDER.task_for(D(lift), Hair(7, tinted=False, place=FOILS)) == "lightener_foils"
    assert LADDER.task_for(D(0), Hair(7, tinted=True, place=FOILS)) == "deposit"


def test_a_house_with_another_ladder_is_followed() -> None:
    ladder = Ladder.of(Rules(BOOK, {"lift.6.most": D(3), "lift.12.most": D(5)}))
    assert ladder.task_for(D(3), Hair(5, tinted=False, place=SCALP)) == "lift_1_2"
    assert ladder.task_for(D(5), Hair(7, tinted=False, place=SCALP)) == "high_lift"


@pytest.mark.parametrize(
    ("task", "percent"),
    [
        ("deposit", 3),
        ("lift_1_2", 6),
        ("lift_3", 9),
        ("high_lift", 12),
        ("lightener_foils", 6),
        ("lightener_scalp", 6),
    ],
)
def test_each_task_has_its_strength(task: str, percent: int) -> None:
    assert strength_for(task, RULES).number == percent
    assert task in PRODUCT_OF


def test_lightener_ends_at_nine_in_foils_and_at_six_on_the_scalp() -> None:
    assert lightener_limit(FOILS, RULES).number == 9
    assert lightener_limit(SCALP, RULES).number == 6


def test_a_label_can_only_make_the_limit_stricter() -> None:
    labels = training_labels()
    for top, limit, strength in ((3, 3, 3), (9, 9, 6), (12, 9, 6)):
        label = replace(labels["training-powder"], top_strength=D(top))
        rules = RULES.with_label(label)
        assert lightener_limit(FOILS, rules).number == limit
        assert strength_for("lightener_foils", rules).number == strength
    assert lightener_limit(SCALP, RULES.with_label(labels["training-powder"])).number == 6


def test_the_strengths_of_a_label_limit_as_well() -> None:
    label = Label("Training scalp lightener", "lightener_scalp", strengths=(D(2), D(3)))
    strength = strength_for("lightener_scalp", RULES.with_label(label))
    assert strength.number == 3
    assert strength.decided_by is DecidedBy.LABEL
    assert strength.sentence == "3 %, from the label of Training scalp lightener"
    weaker = replace(label, strengths=(D(6), D(12)))
    assert lightener_limit(SCALP, RULES.with_label(weaker)).number == 6


def test_a_stricter_house_rule_stands_against_a_laxer_label() -> None:
    rules = Rules(
        BOOK, {"developer_strength.lightener_scalp": D(3)}, training_labels()["training-powder"], 4
    ).with_label(training_labels()["training-scalp-lightener"])
    assert strength_for("lightener_scalp", rules).decided_by is DecidedBy.HOUSE
    assert lightener_limit(SCALP, rules).number == 3


@pytest.mark.parametrize(
    ("length", "a_foil", "full"), [("short", "0.7", 50), ("medium", "1", 70), ("long", "1.4", 105)]
)
def test_powder_goes_by_the_length_of_the_hair(length: str, a_foil: str, full: int) -> None:
    assert powder_factor(FOILS, length, RULES).number == D(a_foil)
    assert powder_factor(SCALP, length, RULES).number == full


def test_powder_is_weighed_in_whole_grams() -> None:
    assert powder_needed(FOILS, D("0.7"), 13) == 9  # 9.1
    assert powder_needed(FOILS, D("0.7"), 15) == 11  # 10.5
    assert powder_needed(FOILS, D(1), 20) == 20
    assert powder_needed(SCALP, D(70), 20) == 70


@pytest.mark.parametrize(
    ("minutes", "nearness"),
    [
        (44, Nearness.WITHIN),
        (45, Nearness.NEAR),
        (50, Nearness.NEAR),
        (51, Nearness.OVER),
    ],
)
def test_lightener_nears_its_ceiling_from_forty_five_minutes(
    minutes: int, nearness: Nearness
) -> None:
    exposure = lightener_exposure(D(minutes), SCALP, RULES)
    assert exposure.nearness is nearness
    assert exposure.sentence.startswith(f"{minutes} min")


def test_a_label_with_a_shorter_ceiling_moves_the_end_and_the_warning() -> None:
    label = Label("Training scalp lightener", "lightener_scalp", ceiling=D(40))
    rules = RULES.with_label(label)
    assert lightener_exposure(D(40), SCALP, rules).nearness is Nearness.NEAR
    over = lightener_exposure(D(41), SCALP, rules)
    assert over.nearness is Nearness.OVER
    assert over.sentence == "41 min is past the ceiling of 40 min. Rinse now."
    assert over.ceiling.decided_by is DecidedBy.LABEL
