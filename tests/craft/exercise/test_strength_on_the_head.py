"""Strength on the head. Figures: trade.md, computed (4.3 and 4.17); limits: trade.md 2.12."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import Level, Question, Verdict, draw, mark, pose
from academy.craft.exercise.families.strength_on_the_head import Mixture, StrengthOnTheHead
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())
FAMILY = StrengthOnTheHead()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
LIMITS = {
    "p_phenylenediamine": "2",
    "toluene_2_5_diamine": "2",
    "resorcinol": "1.25",
    "m_aminophenol": "1.2",
    "2-methylresorcinol": "1.8",
    "ammonia": "6",
}


def posed(mixture: Mixture) -> Question:
    question = pose(FAMILY, FAMILY.under(mixture, RULES), Level(mixture.level), RULES)
    assert question is not None
    return question


def mixed(level: str, percent: str, d: str, tube: str = "3.5", of: str = "resorcinol") -> Question:
    return posed(Mixture(level, D(percent), D(d), D(40), ingredient=of, in_tube=D(tube)))


FORTY = mixed("working", "9", "1.5")
TURNED = mixed("exam", "9", "2", "6", "p_phenylenediamine")
THREE = posed(
    Mixture("working", D(2), D(1), D(30), three=True, ingredient="resorcinol", in_tube=D("3.5"))
)


def test_forty_grams_with_nine_per_cent_at_one_to_one_and_a_half() -> None:
    assert FORTY.key == {
        "developer": 60,
        "strength": D("5.4"),
        "percent": 9,
        "ingredient": D("1.4"),
        "within": "no",
    }
    assert FORTY.solution[-1].sum == "1.4 % is more than 1.25 %"


def test_its_slips_have_the_published_values() -> None:
    slips = {(m.id, m.field): m.value for m in FORTY.mistakes}
    assert slips.pop(("tube-by-d", "ingredient")) == D("3.5") / D("1.5")
    assert slips == {
        ("bottle", "strength"): 9,
        ("divided-by-d", "strength"): 6,
        ("colour-share", "strength"): D("3.6"),
        ("inverted", "strength"): 15,
        ("always-half", "strength"): D("4.5"),
        ("tube-figure", "ingredient"): D("3.5"),
    }
    marked = mark(FORTY, {"ingredient": "2.33 %", "strength": "6"})
    assert marked.of("ingredient").mistake == "tube-by-d"
    assert marked.of("strength").sentence == "In 1:1.5 the 1.5 is a part, not a divisor."


def test_six_per_cent_in_the_bowl_at_one_to_two_needs_nine_in_the_bottle() -> None:
    assert [field.key for field in TURNED.fields] == ["percent", "ingredient", "within"]
    assert "want 6 % peroxide on the head" in TURNED.text
    assert TURNED.key["percent"] == 9
    assert TURNED.key["ingredient"] == 2
    assert TURNED.key["within"] == "yes"
    slips = {(m.id, m.field): m.value for m in TURNED.mistakes}
    assert slips == {
        ("bottle", "percent"): 6,
        ("always-half", "percent"): 12,
        ("tube-figure", "ingredient"): 6,
        ("tube-by-d", "ingredient"): 3,
    }


def test_exactly_at_the_limit_is_within() -> None:
    assert mark(TURNED, {"within": "yes"}).of("within").verdict is Verdict.RIGHT
    assert TURNED.solution[-1].sum == "2 % is at most 2 %"


def test_saying_within_where_it_is_not_is_not_safe() -> None:
    marked = mark(FORTY, {"developer": "60", "strength": "5.4", "ingredient": "1.4", "within": "y"})
    assert marked.not_safe
    assert marked.of("within").sentence.startswith("Not safe: the answer is no.")
    refused = mark(TURNED, {"within": "no"})
    assert refused.of("within").verdict is Verdict.WRONG
    assert not refused.not_safe


def test_the_limit_says_that_the_law_decided_it() -> None:
    (limit,) = FORTY.decided
    assert limit.sentence == "1.25 %, fixed by law"


def test_the_strength_weighs_double() -> None:
    assert [field.weight for field in FORTY.fields] == [1, 2, 1, 1]


def test_the_own_developer_carries_over_to_strength_and_ingredient() -> None:
    marked = mark(FORTY, {"developer": "40", "strength": "4.5", "ingredient": "1.75"})
    assert marked.of("developer").verdict is Verdict.WRONG
    assert marked.of("strength").working == "9 × 40 g ÷ 80 g = 4.5 %"
    assert marked.of("ingredient").working == "3.5 × 40 g ÷ 80 g = 1.75 %"


def test_nothing_carries_over_to_whether_it_is_within() -> None:
    marked = mark(FORTY, {"developer": "100", "ingredient": "1", "within": "yes"})
    assert marked.of("ingredient").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("within").marks == 0
    assert marked.not_safe


def test_in_the_exam_nothing_carries_over() -> None:
    assert not list(FAMILY.follow(Mixture(**TURNED.parameters), "ingredient", {"percent": D(12)}))  # type: ignore[arg-type]


def test_three_equal_parts_leave_a_third() -> None:
    assert THREE.key["developer"] == 30
    assert THREE.key["strength"] == D(2) / 3
    assert THREE.key["ingredient"] == D("3.5") / 3
    assert THREE.key["within"] == "yes"
    slips = {(m.id, m.field): m.value for m in THREE.mistakes}
    assert slips == {
        ("bottle", "strength"): 2,
        ("inverted", "strength"): 6,
        ("always-half", "strength"): 1,
        ("tube-figure", "ingredient"): D("3.5"),
    }
    marked = mark(THREE, {"developer": "60", "strength": "1", "ingredient": "0.88"})
    assert marked.of("strength").working == "2 × 60 g ÷ 120 g = 1 %"
    assert marked.of("ingredient").verdict is Verdict.FOLLOW_THROUGH


def test_at_one_to_one_half_is_right_and_two_slips_are_left() -> None:
    question = posed(Mixture("first", D(6), D(1), D(30)))
    assert [field.key for field in question.fields] == ["developer", "strength"]
    assert question.key["strength"] == 3
    assert {m.id: m.value for m in question.mistakes} == {"bottle": 6, "inverted": 12}
    assert not question.decided


def test_the_strength_may_be_named_by_volume() -> None:
    assert mark(TURNED, {"percent": "30 vol"}).of("percent").verdict is Verdict.RIGHT


def by_fractions(mixture: Mixture) -> dict[str, Fraction]:
    """What is asked, worked from trade.md 4.3 by weighing, without the library."""
    colour, tube = Fraction(mixture.colour), Fraction(mixture.in_tube)
    developer = colour if mixture.three else colour * Fraction(mixture.d)
    bowl = colour + developer + (colour if mixture.three else 0)
    return {
        "developer": developer,
        "strength": developer * Fraction(mixture.percent) / bowl,
        "ingredient": tube * colour / bowl,
    }


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_figure_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        mixture = Mixture(**question.parameters)  # type: ignore[arg-type]
        expected = by_fractions(mixture)
        for name, value in expected.items():
            if name in question.key:
                ours = Fraction(str(question.key[name]))
                assert abs(ours - value) < Fraction(1, 10**20), question.identity
        if level is Level.FIRST:
            continue
        limit = Fraction(LIMITS[mixture.ingredient])
        assert question.key["within"] == ("yes" if expected["ingredient"] <= limit else "no")
        if level is Level.EXAM:
            d = Fraction(mixture.d)
            given = next(row for row in question.givens if row.label == "Wanted on the head")
            assert Fraction(given.value) * (1 + d) / d == Fraction(str(question.key["percent"]))


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    mixes, ingredients = set(), set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        mixture = Mixture(**question.parameters)  # type: ignore[arg-type]
        assert mixture.percent in {2, 3, 4, 6, 9, 12}
        assert mixture.d in {1, D("1.5"), 2}
        assert 20 <= mixture.colour <= 80
        assert mixture.colour % 10 == 0
        mixes.add((mixture.d, mixture.three))
        ingredients.add(mixture.ingredient)
    if level is Level.FIRST:
        assert mixes == {(D(1), False)}
        assert ingredients == {""}
    else:
        assert {d for d, three in mixes if not three} == {1, D("1.5"), 2}
        assert any(three for _, three in mixes) is (level is Level.WORKING)
        assert ingredients == set(LIMITS)


@pytest.mark.parametrize("level", [Level.WORKING, Level.EXAM])
def test_ingredients_are_under_at_and_over_their_limit_a_third_each(level: Level) -> None:
    standings = []
    for seed in range(600):
        question = draw(FAMILY.key, level, seed, RULES)
        on_head, limit = question.key["ingredient"], question.parameters["limit"]
        assert isinstance(on_head, Decimal)
        assert isinstance(limit, Decimal)
        standings.append(on_head.compare(limit))
        assert limit / 2 <= on_head <= limit * 3 / 2
        assert on_head == limit or abs(on_head - limit) >= D("0.01")
    assert all(150 <= standings.count(D(sign)) <= 250 for sign in (-1, 0, 1))


def test_under_other_limits_the_answer_is_settled_anew() -> None:
    laxer = replace(Mixture(**FORTY.parameters), limit=D(2))  # type: ignore[arg-type]
    assert FAMILY.key_of(laxer)["within"] == "yes"
    assert FAMILY.key_of(FAMILY.under(laxer, RULES).parameters)["within"] == "no"
