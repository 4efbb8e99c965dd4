"""White hair: share by method, white of the head, start, cream, pre-softening."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from academy.craft.formula.white_hair import (
    AREA_SHARES,
    EAR_TO_EAR,
    Resistance,
    base_share,
    cream_needed,
    needs_presoftening,
    start_area,
    to_nearest_five,
    white_of_head,
)
from academy.craft.rules import DecidedBy, Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)


def share(rules: Rules, white: int, resistance: Resistance = Resistance.NORMAL) -> Decimal:
    return base_share(D(white), resistance, rules).number


def test_bands_are_the_standard_method() -> None:
    assert [share(RULES, white) for white in (10, 30, 60, 90)] == [0, 25, 50, 75]
    resistant = [share(RULES, white, Resistance.RESISTANT) for white in (10, 30, 60, 90)]
    assert resistant == [25, 50, 75, 75]


def test_half_begins_at_a_quarter_white() -> None:
    rules = Rules(BOOK, {"white_rule": "half"}, None, 8)
    assert [share(rules, white) for white in (20, 25, 90)] == [0, 50, 50]
    decided = base_share(D(90), Resistance.NORMAL, rules)
    assert decided.sentence == "50 %, by the half rule, from your house rule 8"
    assert decided.decided_by is DecidedBy.HOUSE


def test_proportional_follows_the_white() -> None:
    rules = Rules(BOOK, {"white_rule": "proportional"})
    assert [share(rules, white) for white in (20, 65)] == [20, 65]


def test_bands_on_a_label_win_over_the_method() -> None:
    label = replace(training_labels()["training-cream-a"], white_bands={"normal.40": D(60)})
    rules = Rules(BOOK, {"white_rule": "proportional"}, label)
    assert share(rules, 50) == 60
    assert share(rules, 80) == 80


def test_the_white_of_the_head_is_weighted_by_area() -> None:
    head = {"front": D(75), "crown": D(60), "sides": D(55), "back": D(55), "nape": D(45)}
    assert white_of_head(head) == D("59.5")
    assert to_nearest_five(white_of_head(head)) == 60
    assert sum(AREA_SHARES.values()) == 100


def test_halves_are_stated_up_to_the_next_five() -> None:
    assert [to_nearest_five(D(white)) for white in ("42.4", "42.5", "97.5")] == [40, 45, 100]


def test_the_whitest_area_is_started_if_it_leads() -> None:
    head = {"front": D(75), "crown": D(60), "back": D(55)}
    assert start_area(head, D(15)) == "front"
    assert start_area(head, D(16)) == EAR_TO_EAR


@pytest.mark.parametrize(
    ("area", "regrowth", "d", "cream"),
    [("540", "1.5", "1", 32), ("500", "2", "1.5", 32), ("500", "2", "1", 40)],
)
def test_cream_is_rounded_up_to_the_step(area: str, regrowth: str, d: str, cream: int) -> None:
    assert cream_needed(D("0.075"), D(area), D(regrowth), D(d), D(4)) == cream


def test_resistant_hair_is_presoftened_from_half_white_on() -> None:
    assert needs_presoftening(D(50), Resistance.RESISTANT, RULES)
    assert not needs_presoftening(D(49), Resistance.RESISTANT, RULES)
    assert not needs_presoftening(D(90), Resistance.NORMAL, RULES)
    later = Rules(BOOK, {"presoften_white_from": D(70)})
    assert not needs_presoftening(D(50), Resistance.RESISTANT, later)
