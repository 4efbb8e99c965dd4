"""Putting a module's steps in order. The orders are worked out by hand from the steps given."""

from __future__ import annotations

import random

import pytest

from academy.craft.exercise.engine import (
    ExerciseError,
    Level,
    Material,
    PaperPart,
    Question,
    Verdict,
    draw,
    draw_paper,
    mark,
    settled_anew,
)
from academy.craft.exercise.families.order_of_steps import OrderOfSteps
from academy.craft.measure import Kind, Order
from academy.craft.rules import Rules, standard_rules

RULES = Rules(standard_rules())
FAMILY = OrderOfSteps()
MANY = [
    pytest.param(300, id="300"),
    pytest.param(10_000, id="10000", marks=pytest.mark.deep),
]
FOLDING = Material(
    "Foil folding",
    (
        "Ready the foils",
        "Foil to the scalp",
        "Apply the product",
        "Fold in thirds",
        "Fold once more",
        "Fold the corners",
        "Wipe hands and comb",
    ),
)
TWO_PROCESS = Material(
    "Timing a two-process service",
    (
        "Plan on paper",
        "Apply the root colour",
        "Change over",
        "Foil by the plan",
        "Log the foils",
        "Check the roots",
        "Check the first foil",
        "Compare the windows",
        "Open early foils singly",
        "Rinse, gloss, record",
    ),
)


def drawn(level: Level, seed: int = 1, material: Material = TWO_PROCESS) -> Question:
    return draw(FAMILY.key, level, seed, RULES, material=material)


def printed(question: Question, field: str = "order") -> dict[str, str]:
    """The words on offer by letter."""
    return {choice.key: choice.label for choice in question.field(field).choices}


def words(question: Question) -> list[str]:
    """The steps in the order of the key."""
    order = question.key["order"]
    assert isinstance(order, Order)
    return [printed(question)[letter] for letter in order.keys]


def test_the_first_level_asks_for_five_steps_that_follow_each_other() -> None:
    for seed in range(50):
        found = words(drawn(Level.FIRST, seed))
        start = TWO_PROCESS.steps.index(found[0])
        assert tuple(found) == TWO_PROCESS.steps[start : start + 5]


def test_the_working_level_asks_for_six_steps_from_anywhere_in_the_module() -> None:
    spread = set()
    for seed in range(50):
        places = [TWO_PROCESS.steps.index(step) for step in words(drawn(Level.WORKING, seed))]
        assert len(places) == 6
        assert places == sorted(places)
        spread.add(tuple(places))
    assert len(spread) > 30


def test_at_exam_one_step_of_the_run_is_left_out_and_the_others_on_offer_lie_outside() -> None:
    for seed in range(100):
        question = drawn(Level.EXAM, seed)
        places = [TWO_PROCESS.steps.index(step) for step in words(question)]
        offered = {
            key: TWO_PROCESS.steps.index(w) for key, w in printed(question, "missing").items()
        }
        right = offered.pop(str(question.key["missing"]))
        assert sorted([*places, right]) == list(range(places[0], places[0] + 8))
        assert places[0] < right < places[-1]
        assert len(offered) == 2
        assert all(place < places[0] or place > places[-1] for place in offered.values())


@pytest.mark.parametrize(
    ("steps", "level", "many", "missing"),
    [
        (5, Level.FIRST, 5, False),
        (5, Level.WORKING, 5, False),
        (5, Level.EXAM, 5, False),
        (7, Level.WORKING, 6, False),
        (7, Level.EXAM, 7, False),
        (8, Level.EXAM, 5, True),
        (9, Level.EXAM, 6, True),
        (12, Level.EXAM, 8, True),
        (20, Level.EXAM, 8, True),
    ],
)
def test_how_many_steps_are_asked_depends_on_level_and_module(
    steps: int, level: Level, many: int, *, missing: bool
) -> None:
    module = Material("A module", tuple(f"Step of kind {n}" for n in range(steps)))
    question = drawn(level, 3, module)
    assert len(question.field("order").choices) == many
    assert ("missing" in {field.key for field in question.fields}) is missing
    assert f"these {many} steps" in question.text
    if missing:
        assert 3 <= len(question.field("missing").choices) <= 4


def test_the_letters_of_what_is_missing_go_on_after_those_of_the_steps() -> None:
    question = drawn(Level.EXAM)
    assert list(printed(question)) == list("abcdefg")
    assert list(printed(question, "missing")) == list("hij")


def test_the_steps_are_never_printed_in_their_order() -> None:
    for seed in range(300):
        question = drawn(Level.FIRST, seed)
        assert list(printed(question).values()) != words(question)


def test_two_neighbours_exchanged_are_told_which_comes_first() -> None:
    question = drawn(Level.WORKING, 2, FOLDING)
    order = list(question.key["order"].keys)  # type: ignore[union-attr]
    steps = words(question)
    for place in range(5):
        wrong = order.copy()
        wrong[place : place + 2] = wrong[place + 1], wrong[place]
        marked = mark(question, {"order": ", ".join(wrong)}).of("order")
        assert marked.mistake == "neighbours-exchanged"
        assert marked.sentence == f"“{steps[place]}” comes before “{steps[place + 1]}”."
        assert marked.marks == 0


def test_the_whole_order_backwards_is_its_own_slip() -> None:
    question = drawn(Level.WORKING, 2, FOLDING)
    order = question.key["order"]
    assert isinstance(order, Order)
    marked = mark(question, {"order": " ".join(order.keys[::-1])}).of("order")
    assert marked.mistake == "backwards"
    assert marked.sentence == f"That is the order backwards: “{words(question)[0]}” comes first."


def test_any_other_order_is_wrong_and_shows_the_right_one() -> None:
    question = drawn(Level.WORKING, 2, FOLDING)
    order = question.key["order"]
    assert isinstance(order, Order)
    turned = (*order.keys[1:], order.keys[0])
    marked = mark(question, {"order": ", ".join(turned)}).of("order")
    assert marked.verdict is Verdict.WRONG
    assert marked.sentence == f"The right answer is {', '.join(k.upper() for k in order.keys)}."


def test_the_order_weighs_three_and_what_is_missing_one() -> None:
    assert [field.weight for field in drawn(Level.EXAM).fields] == [3, 1]
    assert drawn(Level.FIRST).field("order").kind is Kind.ORDER


def test_a_step_from_outside_the_run_is_told_where_it_belongs() -> None:
    question = drawn(Level.EXAM, 4)
    steps = words(question)
    for key, word in printed(question, "missing").items():
        if key == question.key["missing"]:
            assert mark(question, {"missing": word}).of("missing").verdict is Verdict.RIGHT
            continue
        marked = mark(question, {"missing": key.upper()}).of("missing")
        early = TWO_PROCESS.steps.index(word) < TWO_PROCESS.steps.index(steps[0])
        end = f"before “{steps[0]}”." if early else f"after “{steps[-1]}”."
        assert marked.mistake == "outside-the-run"
        assert marked.sentence == f"“{word}” comes {end}"


def test_long_steps_are_named_by_their_beginning() -> None:
    long = Material("A module", tuple(f"{n} " + "word " * 12 for n in "pqrst"))
    sentence = drawn(Level.FIRST, 1, long).mistakes[0].sentence
    assert "word word…”" in sentence
    assert len(sentence.split()) < 25


def test_a_step_on_several_lines_is_one_step() -> None:
    lined = Material("A  module", tuple(f"Do\n this\u2028{n}" for n in "pqrst"))
    question = drawn(Level.FIRST, 1, lined)
    assert set(printed(question).values()) == {f"Do this {n}" for n in "pqrst"}
    assert "“A module”" in question.text


def test_a_step_that_stands_twice_has_no_one_place_and_is_left_out() -> None:
    twice = Material("A module", (*FOLDING.steps, "apply the product."))
    for seed in range(30):
        assert "Apply the product" not in words(drawn(Level.EXAM, seed, twice))


def test_a_module_with_fewer_than_five_steps_is_refused_with_a_sentence() -> None:
    few = Material("A module", FOLDING.steps[:4])
    with pytest.raises(ExerciseError, match="too few steps"):
        drawn(Level.FIRST, 1, few)


def test_without_a_module_nothing_is_drawn() -> None:
    with pytest.raises(ExerciseError, match="Choose one for it"):
        draw(FAMILY.key, Level.FIRST, 1, RULES)


def test_a_paper_carries_the_module_and_holds_no_question_twice() -> None:
    paper = draw_paper([PaperPart(FAMILY.key, Level.WORKING, 10, material=FOLDING)], 3, RULES)
    assert len({question.identity for question in paper}) == 10
    assert all(question.parameters["title"] == "Foil folding" for question in paper)


def test_house_rules_change_nothing() -> None:
    question = drawn(Level.EXAM)
    house = Rules(standard_rules(), {"tolerance.share": RULES.number("start_lead")}, None, 3)
    anew = settled_anew(question, house)
    assert anew is not None
    assert (anew.key, anew.text, anew.mistakes) == (question.key, question.text, question.mistakes)


def test_what_is_asked_twice_for_the_same_steps_has_other_letters() -> None:
    short = Material("A module", FOLDING.steps[:5])
    found = {drawn(Level.FIRST, seed, short).identity for seed in range(100)}
    assert len(found) > 50
    assert all(len(identity) < 60 for identity in found)


@pytest.mark.parametrize("seeds", MANY)
@pytest.mark.parametrize("level", list(Level))
def test_the_key_is_the_order_of_the_module_whatever_the_module(level: Level, seeds: int) -> None:
    """Looked up in the material itself, not through the family's own helpers."""
    for seed in range(seeds):
        chance = random.Random(seed)  # noqa: S311 - throws of a test
        steps = [f"{word} the {noun}" for word in ("Comb", "Fold", "Wipe") for noun in "pqrst"]
        chance.shuffle(steps)
        module = Material("A module", tuple(steps[: chance.randint(5, 15)]))
        question = drawn(level, seed, module)
        places = [module.steps.index(step) for step in words(question)]
        assert places == sorted(set(places))
        assert 5 <= len(places) <= 8
        if "missing" in question.key:
            offered = printed(question, "missing")
            between = [
                key
                for key, step in offered.items()
                if places[0] < module.steps.index(step) < places[-1]
            ]
            assert between == [question.key["missing"]]
