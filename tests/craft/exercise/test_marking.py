"""Marking: the order of the verdicts, safety, empty and unread answers, sums."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest

from academy.craft.exercise import marking
from academy.craft.exercise.engine import (
    ExerciseError,
    Field,
    Follow,
    Level,
    Mistake,
    Safety,
    Verdict,
    draw,
    family_of,
    mark,
    paper_total,
)
from academy.craft.exercise.families.dilute_a_developer import DiluteADeveloper, Dilution
from academy.craft.exercise.family import Dice
from academy.craft.measure import Kind
from academy.craft.rules import Rules, standard_rules

if TYPE_CHECKING:
    from academy.craft.measure import Value

D = Decimal
RULES = Rules(standard_rules())
QUESTION = draw("dilute-a-developer", Level.WORKING, 3, RULES)


def test_nothing_answered_earns_nothing_and_says_so() -> None:
    marked = mark(QUESTION, {})
    assert {field.verdict for field in marked.fields} == {Verdict.EMPTY}
    assert (marked.marks, marked.possible) == (0, 4)
    assert not marked.passed(D(1))


def test_what_cannot_be_read_is_told_the_form_not_the_answer() -> None:
    field = mark(QUESTION, {"stock": "20 vol"}).of("stock")
    assert field.verdict is Verdict.UNREAD
    assert field.sentence.startswith("This line is weighed. Give grams")
    assert field.right not in field.sentence


def test_an_answer_within_tolerance_is_right() -> None:
    stock = QUESTION.key["stock"]
    assert isinstance(stock, Decimal)
    assert mark(QUESTION, {"stock": str(stock + 1)}).of("stock").verdict is Verdict.RIGHT


def test_a_wrong_answer_shows_the_right_one() -> None:
    field = mark(QUESTION, {"stock": "1"}).of("stock")
    assert field.verdict is Verdict.WRONG
    assert field.right in field.sentence


def test_unknown_answers_are_left_alone() -> None:
    assert mark(QUESTION, {"nothing": "5"}) == mark(QUESTION, {})


class EveryMethod(DiluteADeveloper):
    """Carries every field over: what was put in as own figures comes out as the way to 39 g."""

    def follow(self, drawn: Dilution, field: str, own: Mapping[str, Value]) -> Iterator[Follow]:
        del drawn, field
        yield Follow(D(39), " and ".join(sorted(own)))


def test_a_field_never_carries_over_from_itself() -> None:
    marked = marking.mark(QUESTION, {"stock": "39", "neutral": "200"}, EveryMethod())
    assert marked.of("stock").verdict is Verdict.FOLLOW_THROUGH
    assert "stock" not in marked.of("stock").working


def test_a_safety_field_never_carries_over() -> None:
    stock, *others = QUESTION.fields
    guarded = replace(QUESTION, fields=(replace(stock, safety=Safety.ABOVE, limit=D(30)), *others))
    marked = marking.mark(guarded, {"stock": "39"}, EveryMethod()).of("stock")
    assert marked.verdict is Verdict.WRONG
    assert marked.unsafe


def test_of_two_slips_only_the_nearest_is_named() -> None:
    slips = tuple(Mistake(f"slip-{value}", "stock", D(value), "So.") for value in (300, 302))
    question = replace(QUESTION, mistakes=slips)
    named = [mark(question, {"stock": text}).of("stock").mistake for text in ("300.8", "301.2")]
    assert named == ["slip-300", "slip-302"]


@pytest.mark.parametrize(
    ("safety", "right", "given", "broken"),
    [
        (Safety.LATER, D(6), D(10), True),
        (Safety.LATER, D(6), D(8), False),
        (Safety.YES_FOR_NO, "no", "yes", True),
        (Safety.YES_FOR_NO, "yes", "no", False),
        (Safety.ABOVE, D(6), D(12), True),
        (Safety.ABOVE, D(6), D(9), False),
        (Safety.LISTED, "rinse", "extend", True),
        (Safety.LISTED, "rinse", "stop", False),
    ],
)
def test_only_the_dangerous_side_is_not_safe(
    safety: Safety, right: Decimal | str, given: Decimal | str, broken: object
) -> None:
    field = Field("line", "Line", Kind.GRAMS, safety=safety, limit=D(9), unsafe=("extend",))
    assert field.is_unsafe(right, given) is broken


@pytest.mark.parametrize(("given", "broken"), [(D(701), True), (D(700), False), (D(690), False)])
def test_without_a_limit_later_than_the_right_time_is_not_safe(
    given: Decimal, broken: object
) -> None:
    field = Field("line", "Line", Kind.CLOCK, safety=Safety.LATER)
    assert field.is_unsafe(D(700), given) is broken


def test_a_paper_passes_at_its_share_and_not_below() -> None:
    right = {f.key: str(QUESTION.key[f.key]) for f in QUESTION.fields}
    without_parts = right | {"parts": ""}
    total = paper_total([mark(QUESTION, right), mark(QUESTION, without_parts)])
    assert (total.marks, total.possible) == (7, 8)
    assert total.passed(D("87.5"))
    assert not total.passed(D(88))


def test_one_unsafe_answer_fails_the_whole_paper() -> None:
    white = draw("cover-white-hair", Level.WORKING, 3, RULES)
    right = {f.key: str(QUESTION.key[f.key]) for f in QUESTION.fields}
    total = paper_total([mark(white, {"latest_rinse": "23:59"}), *[mark(QUESTION, right)] * 30])
    assert total.share > 80
    assert total.not_safe
    assert not total.passed(D(80))


def test_an_empty_paper_is_not_passed() -> None:
    assert not paper_total([]).passed(D(0))


def test_an_unknown_family_or_version_is_refused_by_name() -> None:
    with pytest.raises(ExerciseError, match="no exercise family tea-for-two"):
        family_of("tea-for-two")
    with pytest.raises(ExerciseError, match="version 99"):
        family_of("cover-white-hair", 99)


def test_dice_stay_in_range_and_reach_both_ends() -> None:
    dice = Dice("any")
    thrown = {dice.whole(10, 20, 5) for _ in range(200)}
    assert thrown == {10, 15, 20}
    assert {dice.pick("ab") for _ in range(50)} == {"a", "b"}
