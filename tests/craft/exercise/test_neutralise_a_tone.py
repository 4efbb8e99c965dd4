"""Neutralising a tone. Figures: trade.md, computed (4.7 and 4.17)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
    worked,
)
from academy.craft.exercise.families.neutralise_a_tone import NeutraliseATone, Toner
from academy.craft.exercise.families.neutralise_a_tone.plan import LIFT_FIRST, settled
from academy.craft.formula.undertone import HowStrong
from academy.craft.measure import NONE
from academy.craft.rules import Label, Rules, RuleValue, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = NeutraliseATone()


def posed(
    reached: int,
    target: int,
    how_strong: str = "clear",
    cream: int = 40,
    level: Level = Level.WORKING,
    rules: Rules = RULES,
) -> Question:
    drawn = settled((level, reached, target, HowStrong(how_strong), D(cream)), rules)
    question = pose(FAMILY, drawn, level, rules)
    assert question is not None
    return question


def slips(question: Question, field: str) -> dict[str, set[object]]:
    found: dict[str, set[object]] = {}
    for mistake in question.mistakes:
        if mistake.field == field:
            found.setdefault(mistake.id, set()).add(mistake.value)
    return found


YELLOW = posed(9, 8)


def test_a_clear_yellow_at_depth_nine_is_cancelled_by_violet() -> None:
    assert YELLOW.key == {"tone": "violet", "counter": 8, "partner": 32, "developer": 80}
    assert "the yellow shows clearly" in YELLOW.text
    assert "mixed 1:2" in YELLOW.text


def test_its_slips_have_the_published_values() -> None:
    assert slips(YELLOW, "tone") == {
        "same-side": {"yellow"},
        "neighbour": {"blue-violet", "red-violet"},
    }
    assert slips(YELLOW, "counter") == {"swapped": {32}, "of-bowl": {24}, "of-developer": {16}}
    assert slips(YELLOW, "partner") == {"on-top": {40}}
    assert slips(YELLOW, "developer") == {}


def test_a_toner_does_not_lift_from_depth_eight_to_nine() -> None:
    question = posed(8, 9, level=Level.EXAM)
    assert question.key == {
        "tone": LIFT_FIRST,
        "counter": NONE,
        "partner": NONE,
        "developer": NONE,
    }
    marked = mark(question, {"tone": "violet", "counter": "8", "partner": "32", "developer": "80"})
    assert {field.mistake for field in marked.fields} == {"toner-lifts"}
    assert marked.of("tone").sentence == "A toner does not lift: lift more first."
    right = mark(
        question, dict.fromkeys(("counter", "partner", "developer"), "-") | {"tone": "lift"}
    )
    assert right.share == 100


def test_more_lift_is_offered_at_level_exam_only_and_weights_may_be_none_there() -> None:
    for level in Level:
        question = posed(9, 8, level=level)
        offered = {choice.key for choice in question.field("tone").choices}
        assert (LIFT_FIRST in offered) is (level is Level.EXAM)
        assert all(field.or_none is (level is Level.EXAM) for field in question.fields[1:])


@pytest.mark.parametrize(
    ("level", "asked"),
    [
        (Level.FIRST, ["tone"]),
        (Level.WORKING, ["tone", "counter", "partner", "developer"]),
        (Level.EXAM, ["tone", "counter", "partner", "developer"]),
    ],
)
def test_each_level_asks_its_fields(level: Level, asked: list[str]) -> None:
    question = posed(9, 8, level=level)
    assert [field.key for field in question.fields] == asked
    assert question.field("tone").weight == 2


@pytest.mark.parametrize(
    ("reached", "accepted"),
    [
        (4, {"blue-green", "green", "blue"}),
        (5, {"blue", "blue-green"}),
        (6, {"blue-violet", "blue"}),
        (7, {"blue-violet", "blue", "violet"}),
        (8, {"violet", "blue-violet"}),
        (9, {"violet"}),
        (10, {"violet"}),
    ],
)
def test_the_tones_of_the_chart_earn_the_marks_and_no_others(
    reached: int, accepted: set[str]
) -> None:
    question = posed(reached, reached)
    for choice in question.field("tone").choices:
        verdict = mark(question, {"tone": choice.label}).of("tone").verdict
        assert (verdict is Verdict.RIGHT) is (choice.key in accepted)


@pytest.mark.parametrize(
    ("written", "tone"),
    [
        ("pearl", "violet"),
        ("ash", "blue"),
        ("ash with pearl", "blue-violet"),
        ("Matt with ash", "blue-green"),
        ("gold", "yellow-orange"),
        ("pale yellow", "yellow"),
        ("Blue violet", "blue-violet"),
    ],
)
def test_a_tone_reads_by_the_words_of_the_trade(written: str, tone: str) -> None:
    assert YELLOW.read("tone", written).value == tone


def test_a_share_of_the_developer_carries_over_to_the_partner_only() -> None:
    marked = mark(YELLOW, {"tone": "violet", "counter": "16", "partner": "24 g", "developer": "64"})
    assert marked.of("counter").mistake == "of-developer"
    assert marked.of("partner").verdict is Verdict.FOLLOW_THROUGH
    assert marked.of("partner").working == "40 g − 16 g = 24 g"
    assert marked.of("developer").verdict is Verdict.WRONG
    assert (marked.marks, marked.possible) == (3, 5)


def test_a_weight_above_three_times_the_right_one_carries_nothing_over() -> None:
    marked = mark(YELLOW, {"counter": "32", "partner": "8"})
    assert marked.of("counter").mistake == "swapped"
    assert marked.of("partner").verdict is Verdict.WRONG


def test_the_solution_stands_beside_own_figures() -> None:
    own = {line.line.field: line.own for line in worked(YELLOW, {"counter": "10"}) if line.own}
    assert own["partner"].sum == "40 g − 10 g"
    assert set(own) == {"partner"}


def test_house_rules_decide_tone_share_and_ratio_and_the_question_says_so() -> None:
    house: dict[str, RuleValue] = {
        "counter_tone.9": "blue-violet",
        "counter_share.clear": D(25),
        "mixing_ratio.quasi": D(1),
    }
    rules = Rules(BOOK, house, None, 7)
    question = posed(9, 8, rules=rules)
    assert question.key == {"tone": "blue-violet", "counter": 10, "partner": 30, "developer": 40}
    assert {d.rule_key for d in question.decided if d.decided_by == "house"} == set(house)
    # Share of the developer is the right weight at 1:1, so that slip falls away.
    assert slips(question, "counter") == {"swapped": {30}, "of-bowl": {20}}
    anew = settled_anew(question, RULES)
    assert anew is not None
    assert (anew.key, anew.mistakes, anew.text) == (YELLOW.key, YELLOW.mistakes, YELLOW.text)


def test_of_two_slips_that_come_to_one_weight_the_first_is_kept() -> None:
    # A quarter at 1:2: the share of the bowl is what is left of the cream.
    question = posed(9, 8, rules=Rules(BOOK, {"counter_share.clear": D(25)}))
    assert slips(question, "counter") == {"swapped": {30}, "of-developer": {20}}


def test_a_label_of_quasi_permanent_colour_decides_the_ratio() -> None:
    rules = RULES.with_label(Label("Training quasi", "quasi", ratios=(D("1.5"),)))
    question = posed(9, 8, rules=rules)
    assert question.key["developer"] == 60
    assert question.decided[-1].sentence == "1:1.5, from the label of Training quasi"


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    lighter = 0
    reached = set()
    for seed in range(300):
        toner = Toner(**draw(FAMILY.key, level, seed, RULES).parameters)  # type: ignore[arg-type]
        assert 4 <= toner.reached <= 10
        assert 3 <= toner.target <= 10
        assert toner.how_strong in {"slight", "clear", "strong"}
        assert toner.cream in {20, 30, 40, 50, 60}
        assert toner.d == 2
        reached.add(toner.reached)
        lighter += toner.target > toner.reached
    assert reached == set(range(4, 11))
    assert lighter == 0 if level is not Level.EXAM else 40 <= lighter <= 80


# trade.md 2.8, apart from the code.
COUNTER_TONES = dict(
    zip(
        range(4, 11),
        ["blue-green", "blue", "blue-violet", "blue-violet", "violet", "violet", "violet"],
        strict=True,
    )
)
SHARES = {"slight": Fraction(1, 10), "clear": Fraction(1, 5), "strong": Fraction(2, 5)}


def agrees(level: Level, seed: int) -> None:
    question = draw(FAMILY.key, level, seed, RULES)
    given = question.parameters
    reached, target = int(str(given["reached"])), int(str(given["target"]))
    if target > reached:
        assert set(question.key.values()) == {LIFT_FIRST, NONE}
        return
    cream = Fraction(str(given["cream"]))
    counter = cream * SHARES[str(given["how_strong"])]
    expected = {"counter": counter, "partner": cream - counter, "developer": cream * 2}
    assert question.key["tone"] == COUNTER_TONES[reached]
    for field, figure in expected.items():
        assert Fraction(str(question.key[field])) == figure, question.identity


@pytest.mark.parametrize("level", list(Level))
def test_every_key_agrees_with_fractions(level: Level) -> None:
    for seed in range(300):
        agrees(level, seed)


@pytest.mark.deep
@pytest.mark.parametrize("level", list(Level))
def test_ten_thousand_keys_agree_with_fractions(level: Level) -> None:
    for seed in range(10_000):
        agrees(level, seed)
