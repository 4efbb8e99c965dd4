"""Quantities from a mixing ratio. Figures: trade.md, computed (4.4 and 4.17)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
)
from academy.craft.exercise.families.mixing_ratio_quantities import Bowl, MixingRatioQuantities
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = MixingRatioQuantities()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]


def posed(bowl: Bowl) -> Question:
    question = pose(FAMILY, Drawn(bowl), Level(bowl.level), RULES)
    assert question is not None
    return question


def exam(**changed: object) -> Question:
    given: dict[str, object] = {
        "a": 2,
        "b": 1,
        "depth": 6,
        "tone": "gold",
        "kind": "permanent",
        "house_d": D(1),
        "house_by": "house",
        "label_d": D("1.5"),
        "label_name": "Training cream B",
    }
    return posed(Bowl("exam", D("1.5"), D(30), **(given | changed)))  # type: ignore[arg-type]


A_HUNDRED_AND_FIVE = posed(Bowl("working", D("1.5"), D(42), 2, 1, 6, "gold"))


def test_a_hundred_and_five_grams_at_one_to_one_and_a_half() -> None:
    key = A_HUNDRED_AND_FIVE.key
    assert key == {"cream": 42, "shade_1": 28, "shade_2": 14, "developer": 63, "bowl": 105}


def test_its_slips_have_the_published_values() -> None:
    slips = {(m.id, m.field): m.value for m in A_HUNDRED_AND_FIVE.mistakes}
    assert slips == {
        ("divided-by-d", "cream"): 70,
        ("half", "cream"): D("52.5"),
        ("swapped", "cream"): 63,
        ("shade-of-bowl", "shade_1"): 70,
        ("even-shades", "shade_1"): 21,
    }


def test_a_label_of_one_to_one_and_a_half_overrides_the_house_ratio() -> None:
    question = exam()
    assert question.key["bowl"] == 75
    assert question.key["cream"] == 30
    assert question.key["developer"] == 45
    assert question.key["decided_by"] == "label"
    marked = mark(question, {"cream": "37.5", "developer": "37,5 g", "decided_by": "house"})
    assert marked.of("cream").mistake == "house-ratio"
    assert marked.of("cream").sentence == "The label decides."
    assert marked.of("developer").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("decided_by").mistake == "house-ratio"


def test_half_is_named_where_it_is_not_the_house_ratio() -> None:
    question = exam(house_d=D(2), kind="quasi")
    assert {m.id for m in question.mistakes if m.field == "cream"} == {
        "divided-by-d",
        "swapped",
        "half",
        "house-ratio",
    }


def test_half_the_bowl_is_the_house_ratio_where_that_is_one_to_one() -> None:
    house = Rules(BOOK, {"mixing_ratio.quasi": D(1)}, training_labels()["training-quasi"], 4)
    question = draw(FAMILY.key, Level.EXAM, 3, house)
    assert question.parameters["d"] == 2
    bowl = question.key["bowl"]
    assert isinstance(bowl, Decimal)
    halves = [m.id for m in question.mistakes if m.field == "cream" and m.value == bowl / 2]
    assert halves == ["house-ratio"]


def test_forwards_a_division_is_told_to_be_a_multiplication() -> None:
    question = posed(Bowl("first", D("1.5"), D(52)))
    marked = mark(question, {"developer": "34.7"}).of("developer")
    assert marked.mistake == "divided-by-d"
    assert marked.sentence == "The developer is the larger part: 1.5 times the cream."


def test_a_label_without_ratio_leaves_it_to_the_rule() -> None:
    question = exam(label_d=None, house_d=D("1.5"))
    assert question.key["decided_by"] == "house"
    assert "gives no ratio" in question.text
    assert {row.label: row.value for row in question.givens}["Label, ratio"] == "not said"
    assert "house-ratio" not in {mistake.id for mistake in question.mistakes}


def test_an_academy_label_is_used_at_level_exam() -> None:
    rules = Rules(BOOK, label=training_labels()["training-cream-b"])
    question = draw(FAMILY.key, Level.EXAM, 5, rules)
    assert "the label of Training cream B says 1:1.5" in question.text
    assert question.decided[0].sentence == "1:1.5, from the label of Training cream B"


def test_exam_draws_are_decided_by_the_label_three_times_in_four() -> None:
    found = [draw(FAMILY.key, Level.EXAM, seed, RULES).key["decided_by"] for seed in range(200)]
    assert 120 <= found.count("label") <= 180
    assert found.count("default") == 200 - found.count("label")


def test_the_own_cream_carries_over_to_shades_and_developer() -> None:
    marked = mark(
        A_HUNDRED_AND_FIVE,
        {"cream": "52.5", "shade_1": "35", "shade_2": "17.5", "developer": "52.5"},
    )
    assert marked.of("cream").mistake == "half"
    assert [marked.of(key).verdict for key in ("shade_1", "shade_2", "developer")] == [
        Verdict.FOLLOW_THROUGH
    ] * 3
    assert marked.of("developer").working == "105 g − 52.5 g = 52.5 g"
    assert (marked.marks, marked.possible) == (3, 5)


def test_the_second_shade_carries_over_from_the_own_first() -> None:
    marked = mark(A_HUNDRED_AND_FIVE, {"cream": "42", "shade_1": "21", "shade_2": "21"})
    assert marked.of("shade_1").mistake == "even-shades"
    assert marked.of("shade_2").verdict is Verdict.FOLLOW_THROUGH


def test_forwards_the_bowl_carries_over_from_the_own_developer() -> None:
    question = posed(Bowl("first", D("1.5"), D(40)))
    marked = mark(question, {"developer": "40 g", "bowl": "80 g"})
    assert marked.of("developer").mistake == "half"
    assert marked.of("bowl").verdict is Verdict.FOLLOW_THROUGH
    assert mark(question, {"developer": "26.7"}).of("developer").mistake == "divided-by-d"


def by_fractions(bowl: Bowl) -> dict[str, Fraction]:
    """Every weight from the printed bowl, or forwards from the cream, without the library."""
    d = Fraction(bowl.d)
    if bowl.level == Level.FIRST:
        cream = Fraction(bowl.cream)
        size = cream + cream * d
    else:
        size = Fraction(str(bowl.bowl))
        cream = size / (1 + d)
    first = cream * bowl.a / (bowl.a + bowl.b)
    return {
        "cream": cream,
        "shade_1": first,
        "shade_2": cream - first,
        "developer": size - cream,
        "bowl": size,
    }


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_weight_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        bowl = Bowl(**question.parameters)  # type: ignore[arg-type]
        for name, value in by_fractions(bowl).items():
            assert Fraction(str(question.key[name])) == value, (question.identity, name)
        if level is Level.EXAM:
            assert bowl.d == (bowl.house_d if bowl.label_d is None else bowl.label_d)


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.FIRST, "developer bowl"),
        (Level.WORKING, "cream shade_1 shade_2 developer"),
        (Level.EXAM, "cream shade_1 shade_2 developer decided_by"),
    ],
)
def test_each_level_asks_its_lines_and_says_what_they_need(level: Level, asked: str) -> None:
    question = draw(FAMILY.key, level, 8, RULES)
    assert " ".join(field.key for field in question.fields) == asked
    labels = [row.label for row in question.givens]
    for field in question.fields:
        assert any(label.startswith(field.needs) for label in labels), field.key


def test_the_cream_weighs_double_where_it_is_asked() -> None:
    assert [field.weight for field in A_HUNDRED_AND_FIVE.fields] == [2, 1, 1, 1]
    assert {field.weight for field in posed(Bowl("first", D(1), D(40))).fields} == {1}


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    ratios = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        bowl = Bowl(**question.parameters)  # type: ignore[arg-type]
        assert bowl.d in {1, D("1.5"), 2}
        assert 30 <= bowl.bowl <= 180
        assert bowl.bowl == int(bowl.bowl)
        assert bowl.cream == int(bowl.cream)
        assert (bowl.a, bowl.b) in {(1, 1), (2, 1), (3, 1), (3, 2)}
        assert bowl.cream % (bowl.a + bowl.b) == 0
        ratios.add(bowl.d)
    assert ratios == {1, D("1.5"), 2}


def test_a_corrected_house_ratio_settles_the_same_bowl_though_it_no_longer_divides() -> None:
    question = exam(label_d=None, house_by="default")
    corrected = settled_anew(question, Rules(BOOK, {"mixing_ratio.permanent": D("1.2")}, None, 3))
    assert corrected is not None
    assert corrected.key["bowl"] == question.key["bowl"]
    cream = corrected.key["cream"]
    assert isinstance(cream, Decimal)
    assert Fraction(75) / Fraction("2.2") - Fraction(cream) < Fraction(1, 10**20)
