"""Covering white hair. Figures: trade.md, computed (4.6 and 4.17)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from academy.craft.exercise.engine import (
    ExerciseError,
    Level,
    Question,
    Safety,
    Verdict,
    draw,
    mark,
    pose,
)
from academy.craft.exercise.families.cover_white_hair import CoverWhiteHair, Head, WhiteHair
from academy.craft.measure import Ratio, of_clock
from academy.craft.rules import Rules, standard_rules, training_labels

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
CREAM_B = training_labels()["training-cream-b"]
FAMILY = CoverWhiteHair()

SIXTY_WHITE = Head(
    natural_depth=5,
    target_depth=6,
    tone="gold",
    resistance="resistant",
    front=D(75),
    crown=D(60),
    sides=D(55),
    back=D(55),
    nape=D(45),
    regrowth=D("1.5"),
    area=D(540),
    start_at=620,
    end_at=650,
)
FORTY_FIVE_WHITE = Head(
    natural_depth=6,
    target_depth=6,
    tone="copper",
    resistance="normal",
    front=D(50),
    crown=D(45),
    sides=D(45),
    back=D(45),
    nape=D(40),
    regrowth=D(2),
    area=D(500),
    start_at=830,
    end_at=860,
)


def posed(
    head: Head, rules: Rules = RULES, level: Level = Level.WORKING, item: str = ""
) -> Question:
    drawn = FAMILY.plan(head, level, rules, item)
    assert drawn is not None
    question = pose(FAMILY, drawn, level, rules)
    assert question is not None
    return question


FIRST_EXAMPLE = posed(SIXTY_WHITE)
EXAM_EXAMPLE = posed(FORTY_FIVE_WHITE, RULES.with_label(CREAM_B), Level.EXAM, "ratio")


def test_sixty_per_cent_white_on_resistant_hair() -> None:
    assert SIXTY_WHITE.white == 60
    assert FIRST_EXAMPLE.key == {
        "share": 75,
        "cream": 32,
        "natural": 24,
        "natural_depth": 6,
        "target": 8,
        "strength": 6,
        "ratio": Ratio(1, 1),
        "developer": 32,
        "presoften": "yes",
        "start": "front",
        "minutes": 40,
        "first_check": of_clock("11:30"),
        "latest_rinse": of_clock("11:40"),
    }


def test_its_slips_have_the_published_values() -> None:
    natural = {m.id: m.value for m in FIRST_EXAMPLE.mistakes if m.field == "natural"}
    assert natural["white-as-share"] == D("19.2")
    assert natural["swapped"] == 8
    assert natural["wrong-column"] == 16
    assert natural["share-of-bowl"] == 48
    others = {m.field: m.value for m in FIRST_EXAMPLE.mistakes}
    assert others["first_check"] == of_clock("11:00")
    assert others["natural_depth"] == 5


def test_forty_five_per_cent_white_with_the_label_of_cream_b() -> None:
    assert EXAM_EXAMPLE.key == {
        "share": 50,
        "cream": 32,
        "natural": 16,
        "natural_depth": 6,
        "target": 16,
        "strength": 6,
        "ratio": Ratio(2, 3),
        "developer": 48,
        "presoften": "no",
        "start": "ear_to_ear",
        "minutes": 35,
        "first_check": of_clock("14:55"),
        "latest_rinse": of_clock("15:10"),
        "decided_by": "label",
    }
    sentences = [decided.sentence for decided in EXAM_EXAMPLE.decided]
    assert "1:1.5, from the label of Training cream B" in sentences


def test_the_house_ratio_is_named_where_the_label_has_another() -> None:
    marked = mark(EXAM_EXAMPLE, {"cream": "40", "natural": "20", "ratio": "1:1"})
    assert marked.of("cream").mistake == "house-ratio"
    assert marked.of("ratio").sentence == "The label decides."
    assert marked.of("natural").verdict is Verdict.FOLLOW_THROUGH
    assert mark(EXAM_EXAMPLE, {"natural": "14.4"}).of("natural").mistake == "white-as-share"


def test_a_slip_in_the_natural_shade_carries_over_to_the_target_shade() -> None:
    marked = mark(FIRST_EXAMPLE, {"cream": "32", "natural": "19,2 g", "target": "12,8 g"})
    assert marked.of("natural").mistake == "white-as-share"
    assert marked.of("natural").marks == 0
    assert marked.of("target").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("target").working == "32 g − 19.2 g = 12.8 g"


def test_own_share_and_own_cream_carry_over() -> None:
    marked = mark(FIRST_EXAMPLE, {"share": "50", "cream": "28", "natural": "14", "developer": "28"})
    assert marked.of("share").mistake == "wrong-column"
    assert marked.of("natural").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("developer").verdict is Verdict.FOLLOW_THROUGH


def test_an_impossible_cream_carries_nothing_over() -> None:
    possible = mark(FIRST_EXAMPLE, {"cream": "96", "developer": "96"})
    assert possible.of("developer").verdict is Verdict.FOLLOW_THROUGH
    impossible = mark(FIRST_EXAMPLE, {"cream": "97", "developer": "97"})
    assert impossible.of("developer").verdict is Verdict.WRONG


def test_the_first_check_carries_over_from_own_minutes_but_the_latest_rinse_does_not() -> None:
    marked = mark(FIRST_EXAMPLE, {"minutes": "35", "first_check": "11:25", "latest_rinse": "11:35"})
    assert marked.of("first_check").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("latest_rinse").verdict is Verdict.WRONG
    assert not marked.not_safe


def test_rinsing_after_the_ceiling_is_not_safe_and_fails_whatever_the_sum() -> None:
    right = {
        "share": "75",
        "cream": "32",
        "natural": "24",
        "natural_depth": "6",
        "target": "8",
        "strength": "20 vol",
        "ratio": "1:1",
        "developer": "32",
        "presoften": "yes",
        "start": "front",
        "minutes": "40",
        "first_check": "11.30",
        "latest_rinse": "11:40",
    }
    assert mark(FIRST_EXAMPLE, right).passed(D(100))
    late = mark(FIRST_EXAMPLE, right | {"latest_rinse": "11:45"})
    assert late.share > 90
    assert late.not_safe
    assert not late.passed(D(80))
    assert late.of("latest_rinse").sentence.startswith("Not safe: that is past the ceiling.")


def test_rinsing_at_the_check_is_a_slip_and_safe() -> None:
    marked = mark(FIRST_EXAMPLE, {"latest_rinse": "11:30"})
    assert marked.of("latest_rinse").mistake == "rinse-at-check"
    assert not marked.not_safe


def test_the_natural_shade_weighs_double_and_the_latest_rinse_is_a_safety_field() -> None:
    weights = {field.key: field.weight for field in FIRST_EXAMPLE.fields}
    assert weights["natural"] == 2
    assert sum(weights.values()) == 14
    assert FIRST_EXAMPLE.field("latest_rinse").safety is Safety.LATER


def test_the_first_level_asks_for_the_bowl_only() -> None:
    question = posed(SIXTY_WHITE, level=Level.FIRST)
    asked = [field.key for field in question.fields]
    assert asked == ["share", "cream", "natural", "target", "developer"]
    assert {m.id for m in question.mistakes} <= {
        "white-as-share",
        "swapped",
        "wrong-column",
        "half-always",
        "share-of-bowl",
    }


def test_a_proportional_house_rule_is_used_said_and_remembered() -> None:
    rules = Rules(BOOK, {"white_rule": "proportional"}, None, 13)
    question = posed(SIXTY_WHITE, rules)
    assert question.key["share"] == 60
    assert question.key["natural"] == D("19.2")
    assert question.solution[0].sum == "60 %, by the proportional rule, from your house rule 13"
    assert "as much as the white" in {row.value for row in question.givens}
    assert "white-as-share" not in {mistake.id for mistake in question.mistakes}
    assert question.rule_set == 13


def test_a_house_without_bands_speaks_of_none() -> None:
    half = Rules(BOOK, {"white_rule": "half"}, None, 4)
    question = posed(SIXTY_WHITE, half)
    assert mark(question, {"share": "60"}).of("share").sentence == (
        "The share is half by this house’s rule, not the white figure."
    )


def test_a_larger_lead_is_asked_for_by_the_house() -> None:
    rules = Rules(BOOK, {"start_lead": D(20)}, None, 2)
    assert posed(SIXTY_WHITE, rules).key["start"] == "ear_to_ear"


def test_a_label_that_counts_from_the_start_moves_both_times() -> None:
    label = replace(CREAM_B, counts_from_start=True)
    question = posed(SIXTY_WHITE, RULES.with_label(label), Level.EXAM, "ceiling")
    assert question.key["first_check"] == of_clock("11:00")
    assert question.key["latest_rinse"] == of_clock("11:10")
    assert "from-start" not in {mistake.id for mistake in question.mistakes}


def test_all_that_the_label_decides_stands_in_the_table() -> None:
    bands = {"resistant.70": D(80), "resistant.40": D(60), "normal.40": D(45)}
    label = replace(CREAM_B, strengths=(D(6),), white_bands=bands)
    house = Rules(BOOK, {"developer_strength.full_coverage": D(5)}, label, 2)
    question = posed(SIXTY_WHITE, house, Level.EXAM, "share")
    rows = {row.label: row.value for row in question.givens}
    assert rows["Label, base shade"] == "60 % from 40 % white, 80 % from 70 % white"
    assert rows["Label, developer strength"] == "6 %"
    assert rows["Rules your house has changed"] == "the developer strength"
    assert question.key["share"] == 60
    assert question.key["strength"] == 6
    assert question.key["decided_by"] == "label"
    silent = {row.label: row.value for row in EXAM_EXAMPLE.givens}
    assert silent.keys().isdisjoint({"Label, base shade", "Label, developer strength"})
    assert (
        silent["Rules your house has changed"] == "none on ratio, ceiling, base shade or strength"
    )


def test_what_decided_is_not_always_the_label() -> None:
    found = {draw(FAMILY.key, Level.EXAM, seed, RULES).key["decided_by"] for seed in range(40)}
    assert found == {"label", "default"}


@pytest.mark.parametrize("what", ["minutes", "ceiling"])
def test_half_a_minute_that_no_clock_shows_is_refused_with_a_sentence(what: str) -> None:
    rules = {
        f"development.permanent_white_{hair}.{what}": D("44.5") for hair in ("normal", "resistant")
    }
    with pytest.raises(ExerciseError, match="Look at the house rules"):
        draw(FAMILY.key, Level.WORKING, 1, Rules(BOOK, rules))


def test_house_rules_that_leave_no_split_are_refused_with_a_sentence() -> None:
    none = {key: D(0) for key in BOOK.rules if key.startswith("white_base_share.")}
    with pytest.raises(ExerciseError, match="nothing to ask"):
        draw(FAMILY.key, Level.WORKING, 1, Rules(BOOK, none))


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    leading = 0
    for seed in range(300):
        plan = WhiteHair(**draw(FAMILY.key, level, seed, RULES).parameters)  # type: ignore[arg-type]
        assert all(0 <= white <= 100 and white % 5 == 0 for white in plan.areas.values())
        assert 10 <= plan.white <= 100
        assert 3 <= plan.natural_depth <= 7
        assert 4 <= plan.target_depth <= 7
        assert abs(plan.natural_depth - plan.target_depth) <= 2
        assert plan.regrowth in {1, D("1.5"), 2, D("2.5"), 3}
        assert plan.area in {500, 540}
        assert 20 <= plan.end_at - plan.start_at <= 40
        assert plan.end_at + plan.ceiling < 24 * 60
        assert plan.cream % 4 == 0
        assert 0 < plan.share < 100
        assert bool(plan.label) is (level is Level.EXAM)
        leading += plan.start != "ear_to_ear"
    assert 100 < leading < 250


BOWL_RULES = {"white_base_share", "mixing_ratio", "spread", "quantity"}
PLAN_RULES = {"developer_strength", "presoften_white_from", "start_lead", "development"}


@pytest.mark.parametrize(
    ("level", "rules"), [(Level.FIRST, BOWL_RULES), (Level.WORKING, BOWL_RULES | PLAN_RULES)]
)
def test_every_rule_a_question_rests_on_is_named_with_who_decided(
    level: Level, rules: set[str]
) -> None:
    question = draw(FAMILY.key, level, 7, RULES)
    named = {decided.rule_key.partition(".")[0]: decided.sentence for decided in question.decided}
    assert set(named) == rules
    assert named["spread"] == "0.075 g, the standard rule"
