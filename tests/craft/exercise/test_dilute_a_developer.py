"""Diluting a developer. Figures: trade.md, computed (4.1 and 4.17)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import Drawn, Level, Question, Verdict, draw, mark, pose
from academy.craft.exercise.families.dilute_a_developer import DiluteADeveloper, Dilution
from academy.craft.measure import Ratio
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())
FAMILY = DiluteADeveloper()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]


def posed(
    form: str, strong: str, weak: str, stock: int, total: int, level: Level = Level.WORKING
) -> Question:
    sums = Dilution(str(level), form, D(strong), D(weak), D(stock), D(total))
    question = pose(FAMILY, Drawn(sums), level, RULES)
    assert question is not None
    return question


EIGHTY = posed("plain", "12", "4.5", 30, 80)


def test_eighty_grams_of_four_and_a_half_per_cent_from_twelve() -> None:
    assert EIGHTY.key == {"stock": 30, "neutral": 50, "parts": Ratio(3, 5), "total": 80}


def test_its_slips_have_the_published_values() -> None:
    slips = {mistake.id: mistake.value for mistake in EIGHTY.mistakes}
    assert slips == {
        "swapped": 50,
        "part-for-share": 48,
        "half": 40,
        "mixed-units": 9,
        "on-top": 80,
    }


def test_sixty_grams_thinned_from_nine_to_four_per_cent() -> None:
    question = posed("turned", "9", "4", 60, 135, Level.EXAM)
    assert question.key["neutral"] == 75
    assert question.key["total"] == 135
    assert [field.key for field in question.fields] == ["neutral", "total"]
    marked = mark(question, {"neutral": "33.3", "total": "93.3"})
    assert marked.of("neutral").mistake == "total-as-stock"
    assert marked.of("total").verdict is Verdict.FOLLOW_THROUGH


def test_the_stock_weighs_double() -> None:
    assert [field.weight for field in EIGHTY.fields] == [2, 1, 1]


def test_a_swapped_stock_carries_over_to_neutral_and_parts() -> None:
    marked = mark(EIGHTY, {"stock": "50 g", "neutral": "30", "parts": "5:3"})
    assert marked.of("stock").mistake == "swapped"
    assert marked.of("neutral").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("neutral").working == "80 g − 50 g = 30 g"
    assert marked.of("parts").verdict is Verdict.FOLLOW_THROUGH
    assert (marked.marks, marked.possible) == (2, 4)


def test_parts_of_the_own_stock_and_the_rest_carry_over_too() -> None:
    marked = mark(EIGHTY, {"stock": "40", "neutral": "33", "parts": "1:1"})
    assert marked.of("neutral").verdict is Verdict.WRONG
    assert marked.of("parts").verdict is Verdict.FOLLOW_THROUGH


def test_parts_may_be_any_equal_ratio() -> None:
    assert mark(EIGHTY, {"parts": "30 : 50"}).of("parts").verdict is Verdict.RIGHT


def test_an_impossible_stock_carries_nothing_over() -> None:
    marked = mark(EIGHTY, {"stock": "95", "neutral": "1"})
    assert marked.of("stock").verdict is Verdict.WRONG
    assert marked.of("neutral").verdict is Verdict.WRONG


def test_half_the_strength_asks_for_neither_half_nor_swapped() -> None:
    question = posed("plain", "12", "6", 40, 80)
    assert {m.id for m in question.mistakes} == {"part-for-share", "mixed-units", "on-top"}


def test_the_exam_names_the_stock_by_volume_and_the_solution_turns_it_into_per_cent() -> None:
    question = posed("volume", "12", "4.5", 30, 80, Level.EXAM)
    assert "40 vol developer" in question.text
    assert question.solution[0].sum == "0.3 × 40 vol"
    assert question.solution[0].result == "12 %"


def by_fractions(sums: Dilution) -> dict[str, Fraction]:
    """Every weight, worked from trade.md 4.1 without the library."""
    strong, weak = Fraction(sums.stock_percent), Fraction(sums.wanted_percent)
    if sums.form == "turned":
        stock = Fraction(sums.stock)
        neutral = stock * (strong / weak - 1)
    else:
        stock = Fraction(sums.total) * weak / strong
        neutral = Fraction(sums.total) - stock
    return {"stock": stock, "neutral": neutral, "total": stock + neutral}


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_weight_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        sums = Dilution(**question.parameters)  # type: ignore[arg-type]
        expected = by_fractions(sums)
        for name, value in expected.items():
            assert Fraction(str(question.key[name])) == value, (question.identity, name)
        parts = question.key["parts"]
        assert isinstance(parts, Ratio)
        assert Fraction(parts.first, parts.second) == expected["stock"] / expected["neutral"]


def test_the_exam_names_volume_or_turns_the_sum_as_often() -> None:
    drawn = [draw(FAMILY.key, Level.EXAM, seed, RULES) for seed in range(400)]
    forms = [question.parameters["form"] for question in drawn]
    assert 150 <= forms.count("volume") <= 250
    assert forms.count("turned") == 400 - forms.count("volume")
    asked = {(q.parameters["form"], " ".join(f.key for f in q.fields)) for q in drawn}
    assert asked == {("volume", "stock neutral parts"), ("turned", "neutral total")}


@pytest.mark.parametrize("level", list(Level))
def test_every_line_names_givens_that_it_is_worked_from(level: Level) -> None:
    question = draw(FAMILY.key, level, 1, RULES)
    labels = [row.label for row in question.givens]
    for field in question.fields:
        assert field.needs
        assert all(any(label.startswith(need) for label in labels) for need in field.needs)


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    pairs = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        sums = Dilution(**question.parameters)  # type: ignore[arg-type]
        assert sums.stock_percent in {6, 9, 12}
        assert sums.wanted_percent in {D("1.5"), 2, 3, 4, D("4.5"), 6, 9}
        assert sums.wanted_percent < sums.stock_percent
        assert sums.stock * sums.stock_percent == sums.total * sums.wanted_percent
        assert min(sums.stock, sums.neutral) >= 10
        assert sums.stock == int(sums.stock)
        assert sums.total <= 240
        assert (sums.stock if sums.form == "turned" else sums.total) % 10 == 0
        pairs.add((sums.stock_percent, sums.wanted_percent))
        for mistake in question.mistakes:
            assert mistake.id != "part-for-share" or D(str(mistake.value)) <= sums.total
        if level is Level.FIRST:
            assert sums.stock_percent / sums.wanted_percent in {2, 3}
            assert [field.key for field in question.fields] == ["stock", "neutral"]
    assert len(pairs) >= (6 if level is Level.FIRST else 12)
