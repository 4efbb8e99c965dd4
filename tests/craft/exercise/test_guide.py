"""What a marking guide says: tolerances in words, and which own figures carry over."""

from __future__ import annotations

from decimal import Decimal

import pytest

from academy.craft.exercise.engine import Level, Question, draw, families, made_from_a_module, mark
from academy.craft.exercise.guide import carries_over, tolerance_words, unsafe_words
from academy.craft.exercise.marking import Verdict
from academy.craft.exercise.question import Field, Safety
from academy.craft.exercise.spots import spot_at
from academy.craft.measure import (
    EXACT,
    YES_OR_NO,
    Choice,
    Kind,
    Order,
    Ratio,
    Tolerance,
    Value,
    of_clock,
)
from academy.craft.rules import Rules, standard_rules

RULES = Rules(standard_rules())
GRAMS = Tolerance(Decimal(1), Decimal("0.5"), Decimal(10), Decimal(2), Decimal(100))


@pytest.mark.parametrize(
    ("kind", "tolerance", "right", "words"),
    [
        (Kind.GRAMS, GRAMS, Decimal(45), "± 1 g"),
        (Kind.GRAMS, GRAMS, Decimal(8), "± 0.5 g"),
        (Kind.GRAMS, GRAMS, Decimal(150), "± 3 g"),
        (Kind.CLOCK, EXACT, of_clock("10:25"), "exact"),
        (Kind.CLOCK, Tolerance(Decimal(2)), of_clock("10:25"), "± 2 min"),
        (Kind.DEPTH, Tolerance(Decimal(1)), Decimal(7), "± 1 depth"),
        (Kind.PARTS, EXACT, Ratio(3, 5), "any equal ratio"),
        (Kind.SPOT, Tolerance(Decimal(12)), spot_at(0, 60), "within 12 mm"),
        (Kind.ORDER, EXACT, Order(("b", "a")), ""),
        (Kind.CHOICE, EXACT, "yes", ""),
    ],
)
def test_a_tolerance_reads_as_a_marker_says_it(
    kind: Kind, tolerance: Tolerance, right: Value, words: str
) -> None:
    assert tolerance_words(Field("x", "X", kind, tolerance=tolerance), right) == words


@pytest.mark.parametrize(
    ("field", "right", "words"),
    [
        (Field("x", "X", Kind.GRAMS), Decimal(30), ""),
        (
            Field("x", "X", Kind.CLOCK, safety=Safety.LATER),
            of_clock("11:40"),
            "later than 11:40 is not safe",
        ),
        (
            Field("x", "X", Kind.CLOCK, safety=Safety.LATER, limit=of_clock("16:55")),
            of_clock("16:45"),
            "later than 16:55 is not safe",
        ),
        (
            Field("x", "X", Kind.STRENGTH, safety=Safety.ABOVE, limit=Decimal(6)),
            Decimal(3),
            "more than 6 % is not safe",
        ),
        (
            Field("x", "X", Kind.YES_NO, safety=Safety.YES_FOR_NO, choices=YES_OR_NO),
            "no",
            "not safe: Yes",
        ),
        (Field("x", "X", Kind.YES_NO, safety=Safety.YES_FOR_NO, choices=YES_OR_NO), "yes", ""),
        (
            Field(
                "x",
                "X",
                Kind.CHOICE,
                safety=Safety.LISTED,
                choices=(Choice("a", "Extend"), Choice("b", "Rinse")),
                unsafe=("a",),
            ),
            "b",
            "not safe: Extend",
        ),
    ],
)
def test_a_marker_is_told_which_answers_are_not_safe(
    field: Field, right: Value, words: str
) -> None:
    assert unsafe_words(field, right) == words
    assert bool(words) == any(
        field.is_unsafe(right, given) for given in (Decimal(1430), "yes", "a") if field.safety
    )


def labels(question: Question) -> dict[str, set[str]]:
    return {key: set(others) for key, others in carries_over(question).items()}


def test_the_neutral_and_the_parts_follow_the_own_stock() -> None:
    # trade.md 4.1, table: neutral and parts on the own stock.
    question = draw("dilute-a-developer", Level.WORKING, 7, RULES)
    assert labels(question) == {"stock": set(), "neutral": {"stock"}, "parts": {"stock", "neutral"}}


def test_whatever_is_said_to_carry_over_earns_its_marks() -> None:
    """The guide and the marking agree: a wrong figure that carries over gives follow-through."""
    shown = 0
    for family in families():
        if made_from_a_module(family):
            continue
        question = draw(family.key, Level.WORKING, 3, RULES)
        drawn = family.parameters(**question.parameters)
        for key, others in carries_over(question).items():
            for other in others:
                right = question.key[other]
                if not isinstance(right, Decimal) or question.field(other).kind is Kind.CLOCK:
                    continue
                own = right + 10
                follows = list(family.follow(drawn, key, {other: own}))
                if not follows or not isinstance(follows[0].value, Decimal):
                    continue
                given = follows[0].value
                if given <= 0 or question.field(key).earns(question.key[key], given):
                    continue
                answers = {other: str(own), key: question.field(key).printed(given)}
                found = mark(question, answers).of(key)
                assert found.verdict is Verdict.FOLLOW_THROUGH, (family.key, key, other)
                shown += 1
    assert shown >= 3
