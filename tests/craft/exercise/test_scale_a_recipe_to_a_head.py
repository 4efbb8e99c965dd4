"""Scaling a recipe to a head. Figures: trade.md, computed (4.5 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import ceil

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
from academy.craft.exercise.families.scale_a_recipe_to_a_head import Regrowth, ScaleARecipe
from academy.craft.measure import shown_as
from academy.craft.rules import Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = ScaleARecipe()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
SHARES = {"front": 22, "sides": 10, "crown": 22, "back": 36, "nape": 10}
STEPS = {D(1): 10, D("1.5"): 5, D(2): 15}


def posed(level: str, scalp: int, d: str, **more: object) -> Question:
    given: dict[str, object] = {"length": D(0), "a": 2, "b": 1, "depth": 6, "tone": "gold"}
    head = Regrowth(level, D(scalp), d=D(d), spread=D(0), step=D(0), **(given | more))  # type: ignore[arg-type]
    question = pose(FAMILY, FAMILY.under(head, RULES), Level(level), RULES)
    assert question is not None
    return question


TWO_CM = posed("working", 480, "1.5", length=D(2))
SEVEN_WEEKS = posed("exam", 540, "1", treated="front sides", weeks=7)


def test_two_centimetres_on_480_square_centimetres() -> None:
    assert TWO_CM.key == {
        "area": 480,
        "regrowth": 2,
        "need": 72,
        "bowl": 75,
        "cream": 30,
        "shade_1": 20,
        "shade_2": 10,
        "developer": 45,
    }


def test_its_slips_have_the_published_values() -> None:
    slips = {(m.id, m.field): m.value for m in TWO_CM.mistakes}
    inches = slips.pop(("inches", "need"))
    assert shown_as(TWO_CM.field("need").kind, inches) == "28.3 g"
    assert slips == {
        ("no-length", "need"): 36,
        ("no-length", "bowl"): 40,
        ("rounded-down", "bowl"): 70,
        ("need-as-cream", "cream"): 72,
    }


def test_seven_weeks_on_front_and_sides() -> None:
    printed = {f.key: f.printed(SEVEN_WEEKS.key[f.key]) for f in SEVEN_WEEKS.fields}
    assert printed == {
        "area": "172.8 cm²",
        "regrowth": "2.01 cm",
        "need": "26.1 g",
        "bowl": "30 g",
        "cream": "15 g",
        "shade_1": "10 g",
        "shade_2": "5 g",
        "developer": "15 g",
    }


def test_the_whole_head_in_place_of_two_areas() -> None:
    whole = {m.field: m for m in SEVEN_WEEKS.mistakes if m.id == "whole-head"}
    assert whole["area"].value == 540
    assert shown_as(SEVEN_WEEKS.field("need").kind, whole["need"].value) == "81.5 g"
    assert whole["bowl"].value == 90
    marked = mark(SEVEN_WEEKS, {"area": "540", "need": "81.5", "bowl": "90"})
    assert marked.of("area").sentence == "Only the zones you treat."
    # More than three times the right figure carries nothing over: 540 cm² are that.
    assert marked.of("need").mistake == "whole-head"
    assert marked.of("bowl").mistake == "whole-head"


def test_no_rule_but_the_printed_ones_decides() -> None:
    assert [decided.sentence for decided in SEVEN_WEEKS.decided] == [
        "1.25 cm, the standard rule",
        "0.075 g, the standard rule",
        "10 g, the standard rule",
    ]


def test_a_need_that_the_printed_regrowth_does_not_come_to_is_not_asked() -> None:
    # 1.25 × 35 ÷ 30.44 = 1.43725…, printed 1.4373; 0.075 × 340 × it is 36.6499…, not 36.65115.
    five_weeks = Regrowth(
        "exam",
        D(500),
        length=D(0),
        d=D(1),
        spread=D("0.075"),
        step=D(10),
        treated="crown back nape",
        weeks=5,
        growth=D("1.25"),
    )
    assert not five_weeks.is_fair
    assert replace(five_weeks, weeks=6).is_fair


def test_the_bowl_weighs_double() -> None:
    assert {f.key for f in TWO_CM.fields if f.weight == 2} == {"bowl"}
    assert sum(f.weight for f in TWO_CM.fields) == 7


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.FIRST, "need bowl cream developer"),
        (Level.WORKING, "need bowl cream shade_1 shade_2 developer"),
        (Level.EXAM, "area regrowth need bowl cream shade_1 shade_2 developer"),
    ],
)
def test_each_level_asks_its_lines(level: Level, asked: str) -> None:
    question = draw(FAMILY.key, level, 4, RULES)
    assert " ".join(field.key for field in question.fields) == asked


def test_a_forgotten_length_carries_over_to_the_whole_bowl() -> None:
    marked = mark(
        TWO_CM,
        {
            "need": "36",
            "bowl": "40 g",
            "cream": "16",
            "shade_1": "10.7",
            "shade_2": "5.3",
            "developer": "24",
        },
    )
    assert marked.of("need").mistake == "no-length"
    assert marked.of("bowl").working == "36 g, up to a multiple of 5 g = 40 g"
    assert marked.of("cream").working == "40 g ÷ 2.5 = 16 g"
    assert marked.of("developer").working == "16 g × 1.5 = 24 g"
    assert [marked.of(key).verdict for key in ("shade_1", "shade_2")] == [
        Verdict.FOLLOW_THROUGH
    ] * 2
    assert (marked.marks, marked.possible) == (6, 7)


def test_a_bowl_rounded_down_is_named_and_carried_over() -> None:
    marked = mark(TWO_CM, {"need": "72", "bowl": "70", "cream": "28", "developer": "42"})
    assert marked.of("bowl").mistake == "rounded-down"
    assert marked.of("cream").verdict is Verdict.FOLLOW_THROUGH


def test_the_developer_may_be_what_is_left_of_the_own_bowl() -> None:
    marked = mark(TWO_CM, {"bowl": "75", "cream": "72", "developer": "3"})
    assert marked.of("cream").mistake == "need-as-cream"
    assert marked.of("developer").working == "75 g − 72 g = 3 g"


def test_the_second_shade_carries_over_from_the_own_first() -> None:
    marked = mark(TWO_CM, {"cream": "30", "shade_1": "15", "shade_2": "15"})
    assert marked.of("shade_1").verdict is Verdict.WRONG
    assert marked.of("shade_2").working == "30 g − 15 g = 15 g"


def test_the_need_carries_over_from_own_area_and_regrowth() -> None:
    marked = mark(SEVEN_WEEKS, {"area": "200", "regrowth": "2", "need": "30"})
    assert marked.of("area").verdict is Verdict.WRONG
    assert marked.of("need").working == "0.075 × 200 × 2 = 30 g"


def test_at_the_first_levels_nothing_carries_over_to_the_need() -> None:
    assert not list(FAMILY.follow(Regrowth(**TWO_CM.parameters), "need", {"bowl": D(70)}))  # type: ignore[arg-type]


def test_near_an_inch_a_forgotten_length_is_named_in_the_bowl_only() -> None:
    question = posed("working", 480, "1.5", length=D("2.5"))
    assert {m.field for m in question.mistakes if m.id == "no-length"} == {"bowl"}


def test_an_area_may_be_rounded_to_the_square_centimetre() -> None:
    assert mark(SEVEN_WEEKS, {"area": "173"}).of("area").verdict is Verdict.RIGHT
    assert mark(SEVEN_WEEKS, {"area": "174"}).of("area").verdict is Verdict.WRONG


def test_another_spread_changes_the_key_but_not_the_head() -> None:
    house = Rules(BOOK, {"spread": D("0.1"), "growth": D("1.5"), "bowl_step.1": D(4)}, None, 3)
    anew = settled_anew(SEVEN_WEEKS, house)
    assert anew is not None
    assert anew.identity == SEVEN_WEEKS.identity
    assert anew.key["area"] == SEVEN_WEEKS.key["area"]
    # 0.1 × 172.8 × (1.5 × 49 / 30.44) = 41.7 g, up to a multiple of 4 g.
    assert anew.key["bowl"] == 44
    assert [decided.decided_by for decided in anew.decided] == ["house"] * 3


def by_fractions(head: Regrowth) -> dict[str, Fraction]:
    """Every figure, worked from trade.md 4.5, 2.10 and 2.11 without the library."""
    treated = head.treated.split() or list(SHARES)
    area = Fraction(head.scalp) * sum(SHARES[name] for name in treated) / 100
    regrowth = Fraction(head.length)
    if head.weeks:
        regrowth = Fraction("1.25") * head.weeks * 7 / Fraction("30.44")
    need = Fraction("0.075") * area * regrowth
    step = STEPS[head.d]
    bowl = Fraction(step * ceil(need / step))
    cream = bowl / (1 + Fraction(head.d))
    first = cream * head.a / (head.a + head.b)
    return {
        "area": area,
        "regrowth": regrowth,
        "need": need,
        "bowl": bowl,
        "cream": cream,
        "shade_1": first,
        "shade_2": cream - first,
        "developer": bowl - cream,
    }


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_figure_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        expected = by_fractions(Regrowth(**question.parameters))  # type: ignore[arg-type]
        for name, value in expected.items():
            ours = Fraction(str(question.key[name]))
            assert abs(ours - value) < Fraction(1, 10**20), (question.identity, name)


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    ratios, recipes = set(), set()
    for seed in range(300):
        question = draw(FAMILY.key, level, seed, RULES)
        head = Regrowth(**question.parameters)  # type: ignore[arg-type]
        assert head.scalp in ({540} if level is Level.FIRST else {480, 500, 540, 590})
        assert head.d in {1, D("1.5"), 2}
        assert (head.a, head.b) in {(1, 1), (2, 1), (3, 1), (3, 2)}
        ratios.add(head.d)
        recipes.add((head.a, head.b))
        cream = question.key["cream"]
        assert isinstance(cream, Decimal)
        assert cream == int(cream)
        if level is Level.EXAM:
            assert 4 <= head.weeks <= 12
            assert set(head.treated.split()) < set(SHARES)
        else:
            assert head.length in {1, D("1.5"), 2, D("2.5"), 3}
        if level is not Level.FIRST:
            assert cream % (head.a + head.b) == 0
    assert len(ratios) == 3
    assert len(recipes) == (1 if level is Level.FIRST else 4)


def test_figures_rounded_as_printed_lead_to_the_same_bowl() -> None:
    for seed in range(300):
        question = draw(FAMILY.key, Level.EXAM, seed, RULES)
        printed = {f.key: f.printed(question.key[f.key]).split()[0] for f in question.fields}
        head = Regrowth(**question.parameters)  # type: ignore[arg-type]
        step, bowl = D(STEPS[head.d]), question.key["bowl"]
        need = D("0.075") * D(printed["area"]) * D(printed["regrowth"])
        for rounded in (need, D(printed["need"])):
            assert step * ceil(rounded / step) == bowl, question.identity


def test_a_drawn_head_is_posed_again_from_its_parameters() -> None:
    question = draw(FAMILY.key, Level.EXAM, 11, RULES)
    drawn = Drawn(Regrowth(**question.parameters), question.decided)  # type: ignore[arg-type]
    assert pose(FAMILY, drawn, Level.EXAM, RULES, 11) == question
