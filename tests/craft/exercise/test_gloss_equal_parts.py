"""Gloss in equal parts. Figures: trade.md, computed (4.9 and 4.17); times: trade.md 2.4."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    ExerciseError,
    Level,
    Question,
    Verdict,
    draw,
    mark,
    pose,
    settled_anew,
)
from academy.craft.exercise.families.gloss_equal_parts import Gloss, GlossEqualParts
from academy.craft.exercise.families.gloss_equal_parts.bowls import settled
from academy.craft.measure import of_clock, shown_as
from academy.craft.rules import Label, Rules, standard_rules

D = Decimal
BOOK = standard_rules()
RULES = Rules(BOOK)
FAMILY = GlossEqualParts()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
WEAK = Label("the tube in your hand", "gloss", strengths=(D("1.5"),))
SILENT = Label("the tube in your hand", "gloss")


def posed(
    form: str, total: int, at: str, label: Label | None = None, rules: Rules = RULES, **more: int
) -> Question:
    level = Level.WORKING if form == "plain" else Level.EXAM
    minutes = int(of_clock(at))
    gloss = Gloss(str(level), form, D(total), depth=9, tone="pearl", applied_at=minutes, **more)  # type: ignore[arg-type]
    question = pose(FAMILY, settled(gloss, label, rules), level, rules)
    assert question is not None
    return question


NINETY = posed("plain", 90, "14:05", first=2, second=1)
AT_SHADE = posed("at_shade", 60, "16:40", WEAK)
BY_LABEL = posed("label", 60, "16:40", WEAK)


def printed(question: Question) -> dict[str, str]:
    return {field.key: field.printed(question.key[field.key]) for field in question.fields}


def test_ninety_grams_applied_at_five_past_two() -> None:
    assert printed(NINETY) == {
        "colour": "30 g",
        "developer": "30 g",
        "conditioner": "30 g",
        "shade_1": "20 g",
        "shade_2": "10 g",
        "strength": "0.67 %",
        "first_look": "14:10",
        "latest": "14:20",
    }


def test_its_slips_have_the_published_values() -> None:
    slips = {
        (m.id, m.field): shown_as(NINETY.field(m.field).kind, m.value) for m in NINETY.mistakes
    }
    assert slips == {
        ("no-conditioner", "colour"): "45 g",
        ("double-developer", "colour"): "22.5 g",
        ("each-whole", "colour"): "90 g",
        ("bottle", "strength"): "2 %",
        ("one-half", "strength"): "1 %",
        ("look-late", "first_look"): "14:20",
        ("colour-clock", "latest"): "14:40",
    }


def test_sixty_grams_under_a_label_and_at_shade_at_the_first_look() -> None:
    assert printed(AT_SHADE) == {
        "colour": "20 g",
        "developer": "20 g",
        "conditioner": "20 g",
        "strength": "0.5 %",
        "first_look": "16:45",
        "now": "Rinse",
        "rinse": "16:45",
    }
    marked = mark(AT_SHADE, {"now": "c", "rinse": "16:55"})
    assert marked.of("rinse").mistake == "latest-as-rinse"
    assert marked.of("rinse").sentence == "At shade it comes off."
    assert not marked.not_safe


def test_waiting_at_shade_is_named_too() -> None:
    marked = mark(AT_SHADE, {"now": "wait"})
    assert marked.of("now").mistake == "latest-as-rinse"
    assert mark(AT_SHADE, {"now": "look_again"}).of("now").verdict is Verdict.WRONG


@pytest.mark.parametrize(("question", "line"), [(NINETY, "latest"), (AT_SHADE, "rinse")])
def test_a_rinse_past_the_ceiling_is_not_safe(question: Question, line: str) -> None:
    latest = question.key["latest"]
    assert isinstance(latest, Decimal)
    late = shown_as(question.field(line).kind, latest + 1)
    assert mark(question, {line: late}).not_safe
    assert (
        mark(question, {line: late})
        .of(line)
        .sentence.startswith("Not safe: that is past the ceiling.")
    )
    assert (
        mark(question, {line: shown_as(question.field(line).kind, latest + 20)})
        .of(line)
        .sentence.endswith("A gloss is watched, not timed like a colour.")
    )
    early = mark(question, {line: shown_as(question.field(line).kind, latest - 11)})
    assert early.of(line).verdict is Verdict.WRONG
    assert not early.not_safe


def test_under_a_label_it_is_asked_who_decided() -> None:
    assert [field.key for field in BY_LABEL.fields][-2:] == ["latest", "decided_by"]
    assert BY_LABEL.key["decided_by"] == "label"
    assert BY_LABEL.decided[0].sentence == "1.5 %, from the label of the tube in your hand"
    marked = mark(BY_LABEL, {"strength": "0.67", "decided_by": "house rule"})
    assert marked.of("strength").mistake == "house-strength"
    assert marked.of("strength").sentence == "The label decides."
    assert mark(BY_LABEL, {"decided_by": "default"}).of("decided_by").mistake == "house-strength"


def test_a_label_without_strength_leaves_it_to_the_rule() -> None:
    house = Rules(BOOK, {"developer_strength.gloss": D(3)}, None, 2)
    question = posed("label", 60, "16:40", SILENT, house)
    assert question.key["decided_by"] == "house"
    assert question.key["strength"] == 1
    assert "house-strength" not in {mistake.id for mistake in question.mistakes}
    rows = {row.label: row.value for row in question.givens}
    assert (rows["House rule, developer"], rows["Label, developer"]) == ("3", "not said")


def test_an_academy_label_is_used_at_level_exam() -> None:
    own = Label("Training gloss", "gloss", strengths=(D("1.5"),), ceiling=D(10))
    question = draw(FAMILY.key, Level.EXAM, 3, Rules(BOOK, label=own))
    assert question.parameters["label"] == "Training gloss"
    latest, at = question.key["latest"], question.parameters["applied_at"]
    assert isinstance(latest, Decimal)
    assert isinstance(at, int)
    assert latest == at + 10
    assert ("Label, ceiling", "10") in {(row.label, row.value) for row in question.givens}
    assert settled_anew(question, Rules(BOOK, label=own)) == question


def test_exam_draws_take_each_form_and_label_as_often() -> None:
    drawn = [draw(FAMILY.key, Level.EXAM, seed, RULES) for seed in range(400)]
    forms = [question.parameters["form"] for question in drawn]
    assert 160 <= forms.count("label") <= 240
    assert forms.count("at_shade") == 400 - forms.count("label")
    said = [question.parameters["label_percent"] for question in drawn]
    assert 70 <= said.count(None) <= 130
    assert {found for found in said if found is not None} == {D("1.5"), D(3)}


def test_house_times_move_the_clock() -> None:
    house = {"development.gloss.first_check": D(4), "development.gloss.ceiling": D(10)}
    question = posed("plain", 60, "10:00", None, Rules(BOOK, house, None, 2))
    assert (printed(question)["first_look"], printed(question)["latest"]) == ("10:04", "10:10")


def test_where_there_is_nothing_to_watch_nothing_is_drawn() -> None:
    house = {"development.gloss.first_check": D(15), "development.gloss.ceiling": D(10)}
    assert FAMILY.under(Gloss(**NINETY.parameters), Rules(BOOK, house, None, 2)) is None  # type: ignore[arg-type]


def test_the_colour_weighs_double() -> None:
    assert {f.key for f in NINETY.fields if f.weight == 2} == {"colour"}


def test_the_own_colour_carries_over_to_all_that_stands_on_it() -> None:
    answers = {
        "colour": "45",
        "developer": "45",
        "conditioner": "45 g",
        "shade_1": "30",
        "shade_2": "15",
        "strength": "1",
    }
    marked = mark(NINETY, answers)
    assert marked.of("colour").mistake == "no-conditioner"
    assert marked.of("developer").working == "as much as the colour = 45 g"
    assert [marked.of(key).verdict for key in ("conditioner", "shade_1", "shade_2")] == [
        Verdict.FOLLOW_THROUGH
    ] * 3
    assert marked.of("strength").working == "2 % × 45 g ÷ 90 g = 1 %"


def test_the_strength_may_stand_on_the_own_sum() -> None:
    answers = {"colour": "30", "developer": "60", "conditioner": "30", "strength": "1"}
    marked = mark(NINETY, answers)
    assert marked.of("developer").verdict is Verdict.WRONG
    assert marked.of("strength").working == "2 % × 60 g ÷ 120 g = 1 %"


def test_nothing_carries_over_to_the_clock() -> None:
    marked = mark(NINETY, {"first_look": "14:15", "latest": "14:25"})
    assert [marked.of(key).verdict for key in ("first_look", "latest")] == [Verdict.WRONG] * 2
    assert marked.not_safe


@pytest.mark.parametrize(
    ("what", "minutes"), [("first_check", "5.5"), ("ceiling", "14.5"), ("first_check", "15")]
)
def test_a_clock_that_cannot_be_told_or_watched_is_not_asked_about(what: str, minutes: str) -> None:
    rules = Rules(BOOK, {f"development.gloss.{what}": D(minutes)})
    assert draw(FAMILY.key, Level.FIRST, 1, rules).key["colour"]
    with pytest.raises(ExerciseError, match="Look at the house rules"):
        draw(FAMILY.key, Level.WORKING, 1, rules)


def test_level_first_asks_for_three_weights() -> None:
    question = draw(FAMILY.key, Level.FIRST, 2, RULES)
    assert [field.key for field in question.fields] == ["colour", "developer", "conditioner"]
    assert {m.id for m in question.mistakes} == {"no-conditioner", "double-developer", "each-whole"}


def test_level_first_is_the_five_bowls_and_no_more() -> None:
    found = {draw(FAMILY.key, Level.FIRST, seed, RULES).key["colour"] for seed in range(100)}
    assert found == {20, 25, 30, 35, 40}


def by_fractions(gloss: Gloss) -> dict[str, Fraction]:
    """Every figure, worked from trade.md 4.9 without the library."""
    total = Fraction(gloss.total)
    each, at = total / 3, Fraction(gloss.applied_at)
    percent = Fraction(2) if gloss.label_percent is None else Fraction(gloss.label_percent)
    expected = {
        "colour": each,
        "developer": each,
        "conditioner": each,
        "strength": each * percent / total,
        "first_look": at + 5,
        "latest": at + 15,
        "rinse": at + 5,
    }
    if gloss.second:
        expected |= {"shade_1": each * 2 / 3, "shade_2": each / 3}
    return expected


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_every_figure_agrees_with_a_computation_in_fractions(level: Level, seeds: int) -> None:
    for seed in range(seeds):
        question = draw(FAMILY.key, level, seed, RULES)
        expected = by_fractions(Gloss(**question.parameters))  # type: ignore[arg-type]
        numeric = {key for key, value in question.key.items() if isinstance(value, Decimal)}
        assert numeric <= set(expected)
        for name in numeric:
            ours = Fraction(str(question.key[name]))
            assert abs(ours - expected[name]) < Fraction(1, 10**20), (question.identity, name)


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_the_stated_ranges(level: Level) -> None:
    totals, recipes = set(), set()
    for seed in range(300):
        gloss = Gloss(**draw(FAMILY.key, level, seed, RULES).parameters)  # type: ignore[arg-type]
        totals.add(gloss.total)
        recipes.add((gloss.first, gloss.second))
        assert gloss.percent in ({D("1.5"), 2, 3} if level is Level.EXAM else {2})
        assert gloss.applied_at + 35 < 24 * 60
        assert gloss.applied_at % 5 == 0
    assert totals == {60, 75, 90, 105, 120}
    assert recipes == ({(1, 0)} if level is Level.FIRST else {(1, 0), (2, 1)})
