"""Blending two developers. Figures: trade.md, computed (4.2 and 4.17)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import Drawn, Level, Question, Verdict, draw, mark, pose, worked
from academy.craft.exercise.families.blend_two_developers import Blend, BlendTwoDevelopers
from academy.craft.measure import NONE, Ratio
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())
FAMILY = BlendTwoDevelopers()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]


def posed(form: str, of: tuple[str, str, str], total: int, stronger: int | None) -> Question:
    level = Level.WORKING if form == "plain" else Level.EXAM
    grams = None if stronger is None else D(stronger)
    high, low, target = (D(percent) for percent in of)
    sums = Blend(str(level), form, high, low, target, D(total), grams)
    question = pose(FAMILY, Drawn(sums), level, RULES)
    assert question is not None
    return question


A_HUNDRED_AND_TWENTY = posed("plain", ("12", "3", "4.5"), 120, 20)
TURNED = posed("turned", ("9", "3", "4.5"), 120, 30)
OUTSIDE = posed("asked", ("6", "3", "7.5"), 90, None)


def test_a_hundred_and_twenty_grams_of_four_and_a_half_from_twelve_and_three() -> None:
    key = A_HUNDRED_AND_TWENTY.key
    assert key["stronger"] == 20
    assert key["weaker"] == 100
    assert key["parts"] == Ratio(1, 5)
    check = A_HUNDRED_AND_TWENTY.solution[-1]
    assert check.sum == "(20 g × 12 + 100 g × 3) ÷ 120 g"
    assert check.result == "4.5 %"


def test_its_slips_have_the_published_values() -> None:
    slips = {mistake.id: mistake.value for mistake in A_HUNDRED_AND_TWENTY.mistakes}
    assert slips == {"crossed": 100, "halves": 60, "as-if-water": 45, "over-strength": 15}
    assert {mistake.field for mistake in A_HUNDRED_AND_TWENTY.mistakes} == {"stronger"}


def test_ninety_grams_of_three_brought_up_to_four_and_a_half_with_nine() -> None:
    assert [field.key for field in TURNED.fields] == ["stronger", "total"]
    assert TURNED.key["stronger"] == 30
    assert TURNED.key["total"] == 120
    assert {m.id: m.value for m in TURNED.mistakes} == {"crossed": 270, "halves": 90}
    assert "90 g of 3 % developer" in TURNED.text


def test_seven_and_a_half_cannot_be_made_from_six_and_three() -> None:
    assert OUTSIDE.key == {
        "can_be_made": "no",
        "stronger": NONE,
        "weaker": NONE,
        "parts": NONE,
        "total": 90,
    }
    marked = mark(OUTSIDE, {"can_be_made": "no", "stronger": "none", "weaker": "-", "parts": "–"})
    assert marked.share == 100


def test_making_it_anyway_is_not_safe() -> None:
    marked = mark(OUTSIDE, {"can_be_made": "yes", "stronger": "135", "weaker": "45"})
    assert marked.not_safe
    assert marked.of("can_be_made").mistake == "made-anyway"
    assert marked.of("can_be_made").sentence == (
        "Not safe: the answer is no. No mix is stronger or weaker than both its parts."
    )


def test_nothing_carries_over_in_a_mix_that_cannot_be_made() -> None:
    answers = {"can_be_made": "no", "stronger": "60", "weaker": "30", "parts": "2:1"}
    marked = mark(OUTSIDE, answers)
    assert [marked.of(key).verdict for key in ("stronger", "weaker", "parts")] == [
        Verdict.WRONG
    ] * 3
    assert len(worked(OUTSIDE, answers)) == len(OUTSIDE.solution)


def test_refusing_what_can_be_made_is_wrong_but_not_unsafe() -> None:
    asked = posed("asked", ("12", "3", "4.5"), 120, 20)
    marked = mark(asked, {"can_be_made": "no", "stronger": "none"})
    assert marked.of("can_be_made").verdict is Verdict.WRONG
    assert not marked.not_safe
    assert marked.of("stronger").verdict is Verdict.WRONG


def test_made_or_not_the_exam_asks_the_same_lines() -> None:
    asked = posed("asked", ("12", "3", "4.5"), 120, 20)
    assert [f.key for f in asked.fields] == ["can_be_made", "stronger", "weaker", "parts"]
    assert [f.key for f in OUTSIDE.fields] == [f.key for f in asked.fields]
    assert [f.or_none for f in OUTSIDE.fields] == [f.or_none for f in asked.fields]
    assert [f.safety for f in OUTSIDE.fields] == [f.safety for f in asked.fields]


def test_the_stronger_weighs_double() -> None:
    assert [field.weight for field in A_HUNDRED_AND_TWENTY.fields] == [2, 1, 1]
    assert [field.weight for field in TURNED.fields] == [2, 1]


def test_a_stronger_halved_carries_over_to_weaker_and_parts() -> None:
    marked = mark(A_HUNDRED_AND_TWENTY, {"stronger": "60", "weaker": "60 g", "parts": "1 to 1"})
    assert marked.of("stronger").mistake == "halves"
    assert marked.of("weaker").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("weaker").working == "120 g − 60 g = 60 g"
    assert marked.of("parts").verdict is Verdict.FOLLOW_THROUGH
    assert (marked.marks, marked.possible) == (2, 4)


def test_parts_of_the_own_stronger_and_the_rest_carry_over_too() -> None:
    marked = mark(A_HUNDRED_AND_TWENTY, {"stronger": "60", "weaker": "33", "parts": "1:1"})
    assert marked.of("weaker").verdict is Verdict.WRONG
    assert marked.of("parts").verdict is Verdict.FOLLOW_THROUGH
    other = mark(A_HUNDRED_AND_TWENTY, {"stronger": "60", "weaker": "30", "parts": "2:1"})
    assert other.of("parts").working == "60 g : 30 g = 2:1"


def test_parts_may_be_any_equal_ratio() -> None:
    for parts in ("1:5", "20:100", "1.5 : 7.5"):
        assert mark(A_HUNDRED_AND_TWENTY, {"parts": parts}).of("parts").verdict is Verdict.RIGHT


def test_turned_round_the_total_carries_over_from_the_own_stronger() -> None:
    marked = mark(TURNED, {"stronger": "90", "total": "180"})
    assert marked.of("stronger").mistake == "halves"
    assert marked.of("total").working == "90 g + 90 g = 180 g"


def test_more_than_three_times_the_right_weight_carries_nothing_over() -> None:
    marked = mark(A_HUNDRED_AND_TWENTY, {"stronger": "100", "weaker": "20"})
    assert marked.of("stronger").mistake == "crossed"
    assert marked.of("weaker").verdict is Verdict.WRONG


def test_in_the_middle_nobody_can_cross_or_halve_wrongly() -> None:
    question = posed("plain", ("12", "6", "9"), 80, 40)
    assert {m.id for m in question.mistakes} == {"as-if-water", "over-strength"}


def by_fractions(blend: Blend) -> dict[str, Fraction]:
    """Grams and the share of the stronger, worked from trade.md 4.2 without the library."""
    high, low, target, total = (
        Fraction(value) for value in (blend.high, blend.low, blend.target, blend.total)
    )
    share = (target - low) / (high - low)
    return {"stronger": total * share, "weaker": total - total * share, "total": total}


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_weight_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        blend = Blend(**question.parameters)  # type: ignore[arg-type]
        inside = blend.low < blend.target < blend.high
        assert question.key["can_be_made"] == ("yes" if inside else "no")
        if not inside:
            assert {question.key[name] for name in ("stronger", "weaker", "parts")} == {NONE}
            continue
        expected = by_fractions(blend)
        for name, value in expected.items():
            assert Fraction(str(question.key[name])) == value, question.identity
        parts = question.key["parts"]
        assert isinstance(parts, Ratio)
        assert Fraction(parts.first, parts.second) == expected["stronger"] / expected["weaker"]
        if blend.form == "turned":
            given = Fraction(blend.weaker)
            up, down = blend.target - blend.low, blend.high - blend.target
            assert expected["stronger"] == given * Fraction(up) / Fraction(down)


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    strengths = set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        blend = Blend(**question.parameters)  # type: ignore[arg-type]
        assert blend.high in {6, 9, 12}
        assert blend.low in {D("1.5"), 2, 3, 4, 6}
        assert blend.low < blend.high
        assert blend.target in {2, 3, 4, D("4.5"), 6, D("7.5"), 9}
        assert blend.total <= 240
        strengths.add((blend.high, blend.low, blend.target))
        if blend.stronger is None:
            assert level is Level.EXAM
            assert not blend.low <= blend.target <= blend.high
            continue
        assert blend.low < blend.target < blend.high
        assert min(blend.stronger, blend.weaker) >= 10
        assert blend.stronger == int(blend.stronger)
        assert blend.weaker == int(blend.weaker)
        given = blend.weaker if blend.form == "turned" else blend.total
        assert given % 10 == 0
        if blend.form != "turned":
            assert blend.total >= 40
        if level is Level.FIRST:
            assert question.key["parts"] in {Ratio(1, 1), Ratio(1, 2), Ratio(2, 1)}
            assert [field.key for field in question.fields] == ["stronger", "weaker"]
        if level is Level.WORKING:
            assert [field.key for field in question.fields] == ["stronger", "weaker", "parts"]
    assert len(strengths) >= (6 if level is Level.FIRST else 25)


def test_one_exam_draw_in_five_cannot_be_made() -> None:
    drawn = [draw(FAMILY.key, Level.EXAM, seed, RULES) for seed in range(1000)]
    forms = [question.parameters["form"] for question in drawn]
    refused = sum(question.key["can_be_made"] == "no" for question in drawn)
    assert 160 <= refused <= 240
    assert 340 <= forms.count("turned") <= 460
