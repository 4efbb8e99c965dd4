"""Figures of the trade against the outside: ``shared/checks/trade.csv``, each row with its source.

Covered here: peroxide strength, dilution, crossing, strength on the head, legal limits, ratio,
white hair, undertone, lift, growth, weave and foils. C71 and the warning of C70 are minutes that
an examiner allows: nothing is computed from them. C66-C69 and C72 stand in test_person_rows, which
says why C65, C73 and C74 are not computed. Left for the issue that builds its computing: C47 (air
at work).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.formula.alligation import (
    can_be_made,
    crossed_parts,
    grams_of_each,
    parts_of_many,
    strength_of,
)
from academy.craft.formula.dilution import neutral_to_add, parts, stock_for, thinned, total_from
from academy.craft.formula.errors import FormulaError
from academy.craft.formula.exposure import Nearness, lightener_exposure
from academy.craft.formula.foils import foil_count, woven_share
from academy.craft.formula.growth import CM_IN_AN_INCH, months_of, regrowth_after
from academy.craft.formula.lift import PRODUCT_OF, Hair, Ladder, Place, ProductKind, lift_with
from academy.craft.formula.limits import check_limit, label_must_say_ammonia
from academy.craft.formula.mixture import (
    bowl_of,
    developer_for,
    ingredient_on_the_head,
    on_the_head,
    ratio_of,
    shared,
)
from academy.craft.formula.prepigment import pre_pigment
from academy.craft.formula.strength import (
    BAR_L_PER_MOL,
    PEROXIDE_G_PER_MOL,
    exact_moles_per_litre,
    exact_percent,
    exact_volume,
    exact_volume_of_normality,
    percent_by_volume_made_up,
    percent_of_volume,
)
from academy.craft.formula.undertone import opposite, place_on_wheel, undertone_at
from academy.craft.formula.white_hair import Resistance, base_share, white_percent
from academy.craft.measure import Ratio
from academy.craft.rules import Rules, standard_rules
from academy.craft.timing import foils_within, minutes_for, pace_of

D = Decimal
RULES = Rules(standard_rules())
TABLE = Path(__file__).parents[2] / "shared" / "checks" / "trade.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}

Figures = list[Decimal]


def figures(text: str) -> Figures:
    """Every figure of a cell, in order; those of the formula H2O2 are none."""
    return [D(found) for found in re.findall(r"\d+(?:\.\d+)?", text.replace("H2O2", ""))]


def normal_share(white: Decimal) -> Decimal:
    return base_share(white, Resistance.NORMAL, RULES).number


def lowest(found: tuple[Decimal, ...]) -> Figures:
    return [part / min(found) for part in found]


def three_options(n: Figures) -> Figures:
    """The options of C18 in threes; the one whose equal parts give the wanted strength."""
    options = [n[place : place + 3] for place in (1, 4, 7, 10)]
    return next(o for o in options if strength_of([(D(1), volume) for volume in o]) == n[0])


def oz_mix(n: Figures) -> Figures:
    """Pairs of (ounces, volume), a neutral cream being 0 vol: ounces and volume of the whole."""
    pairs = list(zip(n[::2], n[1::2], strict=True))
    return [sum((ounces for ounces, _ in pairs), D(0)), strength_of(pairs)]


# What each row computes from the figures in its inputs; the result is compared with the figures
# in its expected cell, from the first one on.
COMPUTED: dict[str, Callable[[Figures], Figures]] = {
    "C01": lambda n: [percent_of_volume(n[0])],
    "C02": lambda n: [percent_of_volume(n[0])],
    "C03": lambda n: [percent_of_volume(n[0])],
    "C04": lambda n: [percent_of_volume(n[0])],
    "C05": lambda n: [exact_percent(n[0])],
    "C06": lambda n: [exact_percent(n[0])],
    "C07": lambda n: [exact_percent(n[0], BAR_L_PER_MOL)],
    "C08": lambda n: [exact_volume(n[0])],
    "C10": lambda n: [exact_volume_of_normality(n[0])],
    "C11": lambda n: [percent_by_volume_made_up(*n)],
    "C12": lambda n: [percent_by_volume_made_up(*n)],
    "C14": lambda n: oz_mix([n[0], n[1], n[2], n[3]]),
    "C15": oz_mix,
    "C16": lambda n: oz_mix([*n, D(0)]),
    "C17": lambda n: [strength_of([(D(1), volume) for volume in n])],
    "C18": three_options,
    "C19": lambda n: [strength_of([(D(1), volume) for volume in n])],
    "C20": lambda n: [stock_for(n[0], n[2], n[1]), n[0] - stock_for(n[0], n[2], n[1])],
    "C21": lambda n: [
        stock_for(n[0], n[2], n[1]),
        n[0] - stock_for(n[0], n[2], n[1]),
        D(parts(n[2], n[1]).first),
        D(parts(n[2], n[1]).second),
    ],
    "C22": lambda n: [
        stock_for(n[0], n[2], n[1]),
        n[0] - stock_for(n[0], n[2], n[1]),
        D(parts(n[2], n[1]).first),
        D(parts(n[2], n[1]).second),
    ],
    "C24": lambda n: [stock_for(n[0], n[2], n[1])],
    "C25": lambda n: [n[0] + n[2], thinned(n[0], n[1], n[2])],
    "C26": lambda n: [thinned(n[1], n[0], n[2])],
    "C27": lambda n: [stock_for(n[0], n[2], n[1])],
    "C28": lambda n: [stock_for(n[1], n[0], n[2])],
    "C31": lambda n: [neutral_to_add(*n)],
    "C32": lambda n: lowest(parts_of_many(n[:3], n[3])),
    "C33": lambda n: [n[0] + n[2] + n[4], strength_of(list(zip(n[::2], n[1::2], strict=True)))],
    "C34": lambda n: [stock_for(n[0], n[2], n[1]), n[0] - stock_for(n[0], n[2], n[1])],
    "C38": lambda n: [on_the_head(n[0], n[2])],
    "C39": lambda n: [on_the_head(n[0], n[2])],
    "C40": lambda n: [on_the_head(n[0], n[2])],
    "C44": lambda n: [ingredient_on_the_head(n[0], n[2])],
    "C45": lambda n: [ingredient_on_the_head(n[0], n[2])],
    "C48": lambda n: [D(1), ratio_of(n[0] / n[1], n[2] / n[3])],
    "C49": lambda n: [developer_for(n[0], n[2]), bowl_of(n[0], n[2])],
    "C50": lambda n: [developer_for(n[0], n[2]), bowl_of(n[0], n[2])],
    "C51": lambda n: lowest((100 - normal_share(n[0]), normal_share(n[0]))),
    "C52": lambda n: [*lowest((100 - normal_share(n[0]), normal_share(n[0]))), normal_share(n[0])],
    "C53": lambda n: list(shared(n[0], normal_share(n[1]), 100 - normal_share(n[1]))),
    "C76": lambda n: [woven_share(*n)],
    "C63": lambda n: [regrowth_after(n[1], n[0])],
    "C64": lambda n: [months_of(n[0] * CM_IN_AN_INCH, RULES.number("growth"))],
    "C77": lambda n: [foil_count(*n)],
    "C78": lambda _: [white_percent(1, 2)],
}


def tolerance_of(row: dict[str, str]) -> Decimal:
    """The allowed distance of a row, 0 where it must be exact."""
    found = figures(row["tolerance"])
    return found[0] if found else D(0)


@pytest.mark.parametrize("row_id", sorted(COMPUTED))
def test_a_figure_agrees_with_its_source(row_id: str) -> None:
    row = ROWS[row_id]
    assert row["source"], f"{row_id} names no source"
    computed = COMPUTED[row_id](figures(row["inputs"]))
    expected = figures(row["expected"])[: len(computed)]
    assert len(expected) == len(computed)
    for ours, theirs in zip(computed, expected, strict=True):
        assert abs(ours - theirs) <= tolerance_of(row), (row["inputs"], row["source"])


def test_c13_a_third_of_the_volume_is_a_trap() -> None:
    volume, divisor = figures(ROWS["C13"]["inputs"])
    wrong, right = figures(ROWS["C13"]["expected"])
    assert percent_of_volume(volume) == right
    assert abs(volume / divisor - wrong) < D("0.01")


def test_c23_a_pharmacy_dilution_to_a_tenth() -> None:
    stock, strong, weak = figures(ROWS["C23"]["inputs"])
    total, added = figures(ROWS["C23"]["expected"])
    assert total_from(stock, strong, weak) == total
    assert neutral_to_add(stock, strong, weak) == added


def test_c37_a_target_outside_the_stocks_is_refused() -> None:
    target, high, low = figures(ROWS["C37"]["inputs"])
    assert ROWS["C37"]["expected"].startswith("rejected")
    assert not can_be_made(high, low, target)
    with pytest.raises(FormulaError, match="cannot be made"):
        grams_of_each(D(100), high, low, target)


# The ingredient of each row about a limit, and per cent on the head from the figures it gives.
ON_THE_HEAD: dict[str, tuple[str, Callable[[Figures], Decimal]]] = {
    "C41": ("peroxide", lambda n: n[0]),
    "C42": ("peroxide", lambda n: n[0]),
    "C43": ("peroxide", lambda n: percent_of_volume(n[0])),
    "C44": ("p_phenylenediamine", lambda n: ingredient_on_the_head(n[0], n[2])),
    "C45": ("resorcinol", lambda n: ingredient_on_the_head(n[0], n[2])),
}


@pytest.mark.parametrize("row_id", ON_THE_HEAD)
def test_the_law_looks_at_the_mixture(row_id: str) -> None:
    ingredient, percent_of = ON_THE_HEAD[row_id]
    verdict = ROWS[row_id]["expected"]
    allowed = "allowed" in verdict or "NOT be refused" in verdict
    check = check_limit(ingredient, percent_of(figures(ROWS[row_id]["inputs"])), RULES)
    assert check.allowed is allowed
    assert check.sentence.startswith("Refused") is not allowed


@pytest.mark.parametrize("row_id", ["C29", "C30", "C35", "C36"])
def test_the_cross_gives_the_parts_of_the_handout(row_id: str) -> None:
    high, low, target = figures(ROWS[row_id]["inputs"])
    first, second = figures(ROWS[row_id]["expected"])
    assert crossed_parts(high, low, target) == Ratio.of(first, second)


def test_c09_the_textbook_agrees_within_its_rounded_molar_volume() -> None:
    (volume,) = figures(ROWS["C09"]["inputs"])
    moles, grams_a_litre, percent = figures(ROWS["C09"]["expected"])
    on_percent = tolerance_of(ROWS["C09"])
    assert abs(exact_percent(volume) - percent) <= on_percent
    assert abs(exact_percent(volume) * 10 - grams_a_litre) <= on_percent * 10
    assert abs(exact_moles_per_litre(volume) - moles) <= on_percent * 10 / PEROXIDE_G_PER_MOL


def test_c46_ammonia_is_named_on_the_label_above_two_per_cent() -> None:
    (in_product,) = figures(ROWS["C46"]["inputs"])
    named_above, most, _ = figures(ROWS["C46"]["expected"])
    assert label_must_say_ammonia(in_product, RULES)
    assert not label_must_say_ammonia(named_above, RULES)
    assert check_limit("ammonia", most, RULES).allowed


def test_c80_subsections_are_as_thick_as_the_class_deck_says() -> None:
    colour, lightener = (D(found) for found in re.findall(r"([\d.]+) mm", ROWS["C80"]["expected"]))
    assert abs(RULES.number("subsection", **{"for": "colour"}) - colour) <= D("0.5")
    assert abs(RULES.number("subsection", **{"for": "lightener"}) - lightener) <= D("0.5")


def test_c70_four_foils_in_fifteen_minutes_leave_no_time_for_a_fifth() -> None:
    foils, minutes, _ = figures(ROWS["C70"]["expected"])
    pace = pace_of(foils, minutes)
    assert minutes_for(foils, pace) == minutes
    assert foils_within(minutes, pace) == foils


def test_c75_a_medium_weave_takes_half_of_the_slice() -> None:
    (percent,) = figures(ROWS["C75"]["expected"])
    taken, out = (
        RULES.number("weave", **{"class": "medium", "what": what}) for what in ("stitch", "gap")
    )
    assert woven_share(taken, out) == percent


@pytest.mark.parametrize("row_id", ["C54", "C55"])
def test_an_exposed_tone_is_cancelled_by_its_opposite(row_id: str) -> None:
    shows = place_on_wheel(ROWS[row_id]["inputs"].removeprefix("exposed "))
    assert shows is not None
    assert opposite(shows) == ROWS[row_id]["expected"]


@pytest.mark.parametrize("row_id", ["C56", "C57"])
def test_what_shows_at_a_depth_and_what_cancels_it(row_id: str) -> None:
    (depth,) = figures(ROWS[row_id]["inputs"])
    stage, counter_tone = ROWS[row_id]["expected"].split("; counter-tone ")
    found = undertone_at(int(depth), RULES)
    assert (found.stage.word, found.counter_tone.word) == (stage, counter_tone)
    accepted = ROWS[row_id]["tolerance"].removeprefix("accept ")
    assert found.accepted_stages == (() if accepted == "exact" else (accepted,))


@pytest.mark.parametrize("row_id", ["C58", "C59", "C60"])
def test_lift_by_strength_is_common_practice(row_id: str) -> None:
    (volume,) = figures(ROWS[row_id]["inputs"])
    found = lift_with(percent_of_volume(volume), RULES)
    depths = figures(ROWS[row_id]["expected"])
    assert (found.least, found.most) == (depths[0], depths[-1])
    accepted = re.search(r"accept up to (\d)", ROWS[row_id]["tolerance"])
    assert found.accepted_most == (D(accepted[1]) if accepted else depths[-1])


def test_c61_colour_does_not_lift_tinted_hair() -> None:
    assert ROWS["C61"]["expected"].startswith("no lift of the tinted part")
    assert lift_with(D(12), RULES, tinted=True).most == 0
    for place in Place:
        task = Ladder.of(RULES).task_for(D(2), Hair(6, tinted=True, place=place))
        assert PRODUCT_OF[task] is ProductKind.LIGHTENER


def test_c79_lightener_past_its_ceiling_is_warned_of() -> None:
    (minutes,) = figures(ROWS["C79"]["inputs"])
    ceiling, earlier, later = figures(ROWS["C79"]["expected"])
    exposure = lightener_exposure(minutes, Place.SCALP, RULES)
    assert ROWS["C79"]["expected"].startswith("warn")
    assert exposure.nearness is Nearness.OVER
    assert exposure.ceiling.number == ceiling
    assert earlier <= RULES.number("lightener_warn") <= later


def test_c62_from_light_to_dark_is_filled_with_the_warmth_of_the_target() -> None:
    present, target = map(int, figures(ROWS["C62"]["inputs"]))
    needed, warmth = ROWS["C62"]["expected"].split(", ")
    plan = pre_pigment(present, target, RULES)
    assert plan.needed is (needed == "pre-pigment needed")
    # Charts differ by half a step: the table says orange there and accepts red-orange.
    assert warmth in {plan.warmth.stage.word, *plan.warmth.accepted_stages}
