"""Rows of ``shared/checks/trade.csv`` through the exercise families that ask for such figures.

A family works any numbers its parameters hold, so a row is put in as it stands, volume or per cent.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.exercise.families.blend_two_developers import Blend, BlendTwoDevelopers
from academy.craft.exercise.families.dilute_a_developer import DiluteADeveloper, Dilution
from academy.craft.exercise.families.mixing_ratio_quantities import Bowl, MixingRatioQuantities
from academy.craft.exercise.families.scale_a_recipe_to_a_head import Regrowth, ScaleARecipe
from academy.craft.exercise.families.strength_on_the_head import Mixture, StrengthOnTheHead
from academy.craft.formula.alligation import can_be_made, grams_of_each
from academy.craft.formula.dilution import stock_for, total_from
from academy.craft.measure import NONE, Ratio, Value
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())
TABLE = Path(__file__).parents[2] / "shared" / "checks" / "trade.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}

Key = Mapping[str, Value]


def figures(text: str) -> list[Decimal]:
    """Every figure of a cell, in order; those of the formula H2O2 are none."""
    return [D(found) for found in re.findall(r"\d+(?:\.\d+)?", text.replace("H2O2", ""))]


def near(row_id: str) -> Decimal:
    """The allowed distance of a row, 0 where it must be exact."""
    return next(iter(figures(ROWS[row_id]["tolerance"])), D(0))


def thinned(total: Decimal, weak: Decimal, strong: Decimal) -> Key:
    stock = stock_for(total, strong, weak)
    return DiluteADeveloper().key_of(Dilution("working", "plain", strong, weak, stock, total))


def thinned_round(stock: Decimal, strong: Decimal, weak: Decimal) -> Key:
    total = total_from(stock, strong, weak)
    return DiluteADeveloper().key_of(Dilution("exam", "turned", strong, weak, stock, total))


def crossed(high: Decimal, low: Decimal, target: Decimal) -> Key:
    total = D(90)
    made = can_be_made(high, low, target)
    stronger = grams_of_each(total, high, low, target)[0] if made else None
    return BlendTwoDevelopers().key_of(Blend("exam", "asked", high, low, target, total, stronger))


def on_the_head(percent: Decimal, d: Decimal) -> Key:
    return StrengthOnTheHead().key_of(Mixture("working", percent, d, D(40)))


def ingredient(name: str, tube: Decimal, d: Decimal) -> Key:
    bowl = Mixture("working", D(6), d, D(40), ingredient=name, in_tube=tube)
    return StrengthOnTheHead().key_of(StrengthOnTheHead().under(bowl, RULES).parameters)


def weighed(cream: Decimal, d: Decimal) -> Key:
    return MixingRatioQuantities().key_of(Bowl("first", d, cream))


def grown(rate: Decimal, weeks: Decimal) -> Key:
    head = Regrowth("exam", D(540), D(0), D(1), D("0.075"), D(10), "", int(weeks), rate)
    return ScaleARecipe().key_of(head)


# What each row asks of a family; the named figures are compared with those of its expected cell.
ASKED: dict[str, tuple[Callable[..., Key], tuple[str, ...]]] = {
    "C20": (thinned, ("stock", "neutral")),
    "C21": (thinned, ("stock", "neutral")),
    "C22": (thinned, ("stock", "neutral")),
    "C23": (thinned_round, ("total", "neutral")),
    "C27": (thinned, ("stock",)),
    "C31": (thinned_round, ("neutral",)),
    "C38": (lambda percent, _, d: on_the_head(percent, d), ("strength",)),
    "C39": (lambda percent, _, d: on_the_head(percent, d), ("strength",)),
    "C40": (lambda percent, _, d: on_the_head(percent, d), ("strength",)),
    "C49": (lambda cream, _, d: weighed(cream, d), ("developer", "bowl")),
    "C50": (lambda cream, _, d: weighed(cream, d), ("developer", "bowl")),
    "C63": (grown, ("regrowth",)),
}


@pytest.mark.parametrize("row_id", ASKED)
def test_a_family_comes_to_the_figure_of_its_source(row_id: str) -> None:
    row = ROWS[row_id]
    assert row["source"], f"{row_id} names no source"
    solve, names = ASKED[row_id]
    key = solve(*figures(row["inputs"]))
    expected = figures(row["expected"])[: len(names)]
    for name, theirs in zip(names, expected, strict=True):
        ours = key[name]
        assert isinstance(ours, Decimal)
        assert abs(ours - theirs) <= near(row_id), (row["inputs"], row["source"])


@pytest.mark.parametrize("row_id", ["C29", "C30", "C35", "C36"])
def test_the_blend_comes_to_the_parts_of_the_handout(row_id: str) -> None:
    first, second = figures(ROWS[row_id]["expected"])
    assert crossed(*figures(ROWS[row_id]["inputs"]))["parts"] == Ratio.of(first, second)


@pytest.mark.parametrize("row_id", ["C21", "C22"])
def test_thinning_comes_to_the_parts_of_its_row(row_id: str) -> None:
    _, _, first, second = figures(ROWS[row_id]["expected"])
    assert thinned(*figures(ROWS[row_id]["inputs"]))["parts"] == Ratio.of(first, second)


def test_c37_the_blend_refuses_a_target_outside_its_two() -> None:
    target, high, low = figures(ROWS["C37"]["inputs"])
    key = crossed(high, low, target)
    assert ROWS["C37"]["expected"].startswith("rejected")
    assert (key["can_be_made"], key["stronger"]) == ("no", NONE)


@pytest.mark.parametrize(("row_id", "name"), [("C44", "p_phenylenediamine"), ("C45", "resorcinol")])
def test_an_ingredient_is_judged_in_the_mixture(row_id: str, name: str) -> None:
    tube, _, d = figures(ROWS[row_id]["inputs"])
    key = ingredient(name, tube, d)
    on_head = key["ingredient"]
    assert isinstance(on_head, Decimal)
    assert abs(on_head - figures(ROWS[row_id]["expected"])[0]) <= near(row_id)
    assert key["within"] == ("yes" if "allowed" in ROWS[row_id]["expected"] else "no")
