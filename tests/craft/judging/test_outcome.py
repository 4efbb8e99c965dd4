"""Each test is a sentence of the outcome rules (trade.md 5.1 and the first of 5.2)."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Place,
    Scope,
    SecondCause,
    Stop,
    missing,
)
from academy.craft.judging.outcome import ByMarks, Outcome, Shown, outcome

TOP = JudgedZone("top", "top", Decimal("0.15"))
BACK = JudgedZone("occipital", "occipital", Decimal("0.36"))
NAPE = JudgedZone("nape", "nape", Decimal("0.09"))
LEFT = JudgedZone("side_left", "left side", Decimal("0.05"))

STOP = Stop("no-gloves", "No gloves, after one reminder.")


def head(code: str, *, must: bool = False, weight: int = 1) -> Criterion:
    return Criterion(code, code.capitalize(), Scope.HEAD, must, Decimal(weight))


def zoned(code: str, *, must: bool = False, weight: int = 1) -> Criterion:
    return Criterion(code, code.capitalize(), Scope.ZONES, must, Decimal(weight))


def heads(**levels: int) -> dict[Place, int]:
    """Levels of head criteria."""
    return {(code, None): level for code, level in levels.items()}


FIVE = tuple(head(code) for code in ("order", "hygiene", "timing", "record", "finish"))


def five(*levels: int, **rest: Any) -> Marking:
    """Five head criteria of equal weight at these levels."""
    marks = heads(**{one.code: level for one, level in zip(FIVE, levels, strict=True)})
    return Marking(criteria=FIVE, zones=(), marks=marks, **{"rating": 3, **rest})


def tension(levels: dict[str, int], *, must: bool = False, **rest: Any) -> Marking:
    """One zone criterion and one head criterion at 3; `levels` by zone."""
    marks: dict[Place, int] = {("tension", z): n for z, n in levels.items()}
    return Marking(
        criteria=(zoned("tension", must=must), head("record")),
        zones=(TOP, BACK, NAPE, LEFT),
        marks={**marks, ("record", None): 3},
        **{"rating": 4, **rest},
    )


ALL_SOUND = {"top": 3, "occipital": 3, "nape": 3, "side_left": 3}


def codes(result: Outcome) -> list[str]:
    return [reason.code for reason in result.reasons]


# Step 1


def test_a_stop_event_is_not_yet_stopped_for_safety() -> None:
    result = outcome(five(4, 4, 4, 4, 4, stops=(STOP,)))
    assert (result.by_marks, result.decided_by) == (ByMarks.NOT_YET, 1)
    assert result.reasons[0].sentence == "Stopped for safety. No gloves, after one reminder."


def test_after_a_stop_nothing_else_is_computed() -> None:
    result = outcome(five(0, 4, 4, 4, 4, stops=(STOP,), minutes_used=90, minutes_allowed=10))
    assert codes(result) == ["stopped"]
    assert result.head_mark is None
    assert result.criterion_marks == ()


def test_after_a_stop_the_rest_may_stay_unmarked() -> None:
    unmarked = Marking(criteria=FIVE, zones=(), marks={}, stops=(STOP,))
    assert outcome(unmarked).by_marks is ByMarks.NOT_YET


def test_after_a_stop_a_second_mark_comes_by_appeal_or_request_only() -> None:
    sampled = five(3, 3, 3, 3, 3, stops=(STOP,), asked_for=frozenset({SecondCause.SAMPLE}))
    asked = frozenset({SecondCause.SAMPLE, SecondCause.APPEAL, SecondCause.REQUEST})
    assert outcome(sampled).causes == ()
    wanted = (SecondCause.REQUEST, SecondCause.APPEAL)
    assert outcome(five(3, 3, 3, 3, 3, stops=(STOP,), asked_for=asked)).causes == wanted


# Step 2


def test_an_unmarked_criterion_cannot_be_submitted_and_is_listed() -> None:
    marking = Marking(criteria=FIVE[:2], zones=(), marks=heads(order=3), rating=3)
    assert missing(marking) == [("hygiene", None)]
    with pytest.raises(JudgingError, match="Still without a level: Hygiene"):
        outcome(marking)


def test_an_unmarked_judged_zone_cannot_be_submitted_and_is_listed() -> None:
    marking = tension({"top": 3, "nape": 3, "side_left": 3})
    assert missing(marking) == [("tension", "occipital")]
    with pytest.raises(JudgingError, match="Tension, occipital"):
        outcome(marking)


def test_the_overall_rating_cannot_be_missing() -> None:
    with pytest.raises(JudgingError, match="Give the overall rating"):
        outcome(five(3, 3, 3, 3, 3, rating=None))


def test_a_zone_may_be_set_not_covered_today_with_a_reason() -> None:
    levels = {"top": 3, "occipital": 3, "side_left": 3}
    result = outcome(tension(levels, left_out={"nape": "The nape was cut short"}))
    assert result.by_marks is ByMarks.COMPETENT
    assert result.reasons[0].sentence == "Nape was not covered today: The nape was cut short."


def test_a_zone_without_a_reason_cannot_be_left_out() -> None:
    with pytest.raises(JudgingError, match="Say why"):
        tension({"top": 3}, left_out={"nape": "  "})


def test_a_zone_left_out_leaves_the_means() -> None:
    levels = {"top": 4, "occipital": 3, "side_left": 3}
    figures = outcome(tension(levels, left_out={"nape": "no time"})).figures
    assert figures is not None
    assert sum(share for _, share in figures.zone_shares) == 1
    assert figures.criterion_marks[0].mark == 3 + Fraction(15, 56)


def test_more_than_one_zone_left_out_is_not_yet() -> None:
    left_out = {"nape": "no time", "top": "no time"}
    result = outcome(tension({"occipital": 4, "side_left": 4}, left_out=left_out))
    assert (result.by_marks, result.decided_by) == (ByMarks.NOT_YET, 2)
    assert "2 zones were left out; at most 1 may be." in result.reasons[2].sentence


def test_a_head_on_which_every_zone_was_left_out_cannot_be_submitted() -> None:
    everything = dict.fromkeys(ALL_SOUND, "no time")
    with pytest.raises(JudgingError, match="Every zone was left out"):
        tension({}, left_out=everything)


# Step 3


@pytest.mark.parametrize(("level", "by_marks"), [(2, ByMarks.NOT_YET), (3, ByMarks.COMPETENT)])
def test_every_must_pass_criterion_must_be_at_3_or_above(level: int, by_marks: ByMarks) -> None:
    criteria = (head("hygiene", must=True), head("order", weight=4))
    marks = heads(hygiene=level, order=4)
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=4))
    assert result.by_marks is by_marks


def test_a_missed_must_pass_is_not_yet_and_named() -> None:
    criteria = (head("hygiene", must=True), head("order", weight=4))
    marks = heads(hygiene=2, order=4)
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=4))
    assert result.decided_by == 3
    assert result.reasons[0].sentence == "Hygiene must reach 3: it is at 2."


def test_in_a_zone_criterion_that_must_pass_every_judged_zone_must_reach_3() -> None:
    result = outcome(tension({**ALL_SOUND, "nape": 2}, must=True))
    assert (result.by_marks, result.decided_by) == (ByMarks.NOT_YET, 3)
    assert (result.reasons[0].criterion, result.reasons[0].zone) == ("tension", "nape")


# Step 4


@pytest.mark.parametrize("level", [0, 1])
def test_a_zone_criterion_with_a_zone_at_0_or_1_is_not_yet_naming_the_zone(level: int) -> None:
    result = outcome(tension({**ALL_SOUND, "side_left": level}))
    assert (result.by_marks, result.decided_by) == (ByMarks.NOT_YET, 4)
    assert f"Tension is at {level} in the left side zone" in result.reasons[0].sentence


def test_a_zone_at_2_is_not_weak() -> None:
    assert "weak_zone" not in codes(outcome(tension({**ALL_SOUND, "nape": 2})))


@pytest.mark.parametrize(
    ("weak", "level", "levels"), [(0, 1, "0"), (2, 2, "0, 1 or 2"), (1, 1, "0 or 1")]
)
def test_at_which_level_a_zone_is_weak_belongs_to_the_rules(
    weak: int, level: int, levels: str
) -> None:
    rules = OutcomeRules(weak_zone=weak)
    result = outcome(tension({**ALL_SOUND, "nape": level}, rules=rules))
    assert ("weak_zone" in codes(result)) is (level <= weak)
    worst = outcome(tension({**ALL_SOUND, "nape": 0}, rules=rules))
    assert f"no zone may stand at {levels}." in worst.reasons[0].sentence


def test_a_zone_at_3_is_never_weak() -> None:
    with pytest.raises(JudgingError, match="must lie from 0 to 2"):
        OutcomeRules(weak_zone=3)


def test_a_head_criterion_at_1_is_no_weak_zone() -> None:
    assert codes(outcome(five(1, 4, 4, 4, 4))) == ["head_mark", "reached"]


def test_a_failing_nape_does_not_hide_behind_a_good_back() -> None:
    result = outcome(tension({"top": 4, "occipital": 4, "nape": 0, "side_left": 4}))
    assert result.head_mark is not None
    assert result.head_mark > 65
    assert result.by_marks is ByMarks.NOT_YET


# Step 5


def test_the_mark_of_a_head_criterion_is_its_level() -> None:
    marks = outcome(five(0, 1, 2, 3, 4)).criterion_marks
    assert [one.mark for one in marks] == [0, 1, 2, 3, 4]


def test_the_mark_of_a_zone_criterion_is_the_mean_weighted_by_zone_area() -> None:
    marks = outcome(tension({"top": 4, "occipital": 3, "nape": 2, "side_left": 3})).criterion_marks
    whole = Fraction(15 + 36 + 9 + 5)
    assert marks[0].mark == Fraction(15 * 4 + 36 * 3 + 9 * 2 + 5 * 3) / whole


# Step 6


def test_all_criteria_at_3_give_75() -> None:
    assert outcome(five(3, 3, 3, 3, 3)).head_mark == 75


@pytest.mark.parametrize(("levels", "mark"), [((2, 3, 3, 3, 3), 70), ((2, 2, 3, 3, 3), 65)])
def test_with_five_equal_criteria_one_2_gives_70_and_two_give_65(
    levels: tuple[int, ...], mark: int
) -> None:
    assert outcome(five(*levels)).head_mark == mark


def test_a_criterion_counts_by_its_weight() -> None:
    criteria = (head("order", weight=2), head("finish"))
    marks = heads(order=4, finish=1)
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=4))
    assert result.figures is not None
    assert result.figures.head_mark == Fraction(100 * (2 * 4 + 1), 3 * 4)
    assert result.head_mark == 75


# Step 7


@pytest.mark.parametrize(
    ("levels", "by_marks"),
    [((3, 3, 3, 2, 2), ByMarks.COMPETENT), ((3, 3, 2, 2, 2), ByMarks.NOT_YET)],
)
def test_at_or_above_the_pass_line_is_competent_else_not_yet(
    levels: tuple[int, ...], by_marks: ByMarks
) -> None:
    result = outcome(five(*levels))
    assert (result.by_marks, result.decided_by) == (by_marks, 7)


@pytest.mark.parametrize("line", ["59.99", "75.01"])
def test_the_pass_line_lies_from_60_to_75(line: str) -> None:
    with pytest.raises(JudgingError, match="must lie from 60 to 75"):
        OutcomeRules(pass_line=Decimal(line))


# Step 8


@pytest.mark.parametrize(
    ("line", "near"),
    [("66.99", False), ("67", True), ("70", True), ("73", True), ("73.01", False)],
)
def test_within_3_points_either_side_of_the_line_a_second_is_needed(line: str, near: bool) -> None:
    rules = OutcomeRules(pass_line=Decimal(line))
    result = outcome(five(2, 3, 3, 3, 3, rules=rules))
    assert result.second_needed is near
    assert (SecondCause.NEAR_LINE in result.causes) is near


def test_the_band_is_replaced_by_one_standard_error_once_it_is_known() -> None:
    wide = OutcomeRules(near_band=Decimal("5.4"))
    assert outcome(five(2, 3, 3, 3, 3, rules=wide)).causes == (SecondCause.NEAR_LINE,)


# Step 9


@pytest.mark.parametrize(("rating", "second"), [(1, True), (2, True), (3, False), (5, False)])
def test_competent_by_marks_with_a_rating_of_1_or_2_needs_a_second(
    rating: int, second: bool
) -> None:
    assert outcome(five(3, 3, 3, 3, 3, rating=rating)).second_needed is second


@pytest.mark.parametrize(("rating", "second"), [(1, False), (3, False), (4, True), (5, True)])
def test_not_yet_by_the_pass_line_with_a_rating_of_4_or_5_needs_a_second(
    rating: int, second: bool
) -> None:
    assert outcome(five(2, 2, 2, 2, 2, rating=rating)).second_needed is second


def test_not_yet_by_an_earlier_step_with_a_high_rating_needs_none() -> None:
    criteria = (head("hygiene", must=True), head("order", weight=4))
    marks = heads(hygiene=2, order=4)
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=5))
    assert result.causes == ()


# Step 10


@pytest.mark.parametrize(("used", "noted"), [(60, False), (72, False), (73, True)])
def test_over_the_time_by_more_than_20_per_cent_is_noted_as_pace(used: int, noted: bool) -> None:
    result = outcome(five(3, 3, 3, 3, 3, minutes_used=used, minutes_allowed=60))
    assert ("pace" in codes(result)) is noted


def test_pace_has_no_effect() -> None:
    slow = outcome(five(3, 3, 3, 3, 3, minutes_used=600, minutes_allowed=60))
    assert (slow.by_marks, slow.causes) == (ByMarks.COMPETENT, ())


def test_pace_counts_where_a_criterion_judges_it_and_only_there() -> None:
    """A slow head with its pace at 1 falls below the line; the note beside it is the same."""
    calm = five(3, 3, 3, 3, 3, minutes_used=90, minutes_allowed=60)
    slow = five(2, 3, 1, 3, 3, minutes_used=90, minutes_allowed=60)
    assert [outcome(one).by_marks for one in (calm, slow)] == [ByMarks.COMPETENT, ByMarks.NOT_YET]
    assert outcome(slow).decided_by == 7
    assert outcome(calm).reasons[-1] == outcome(slow).reasons[-1]
    assert outcome(calm).reasons[-1].code == "pace"


# The whole


def test_every_reason_is_listed_in_the_order_of_the_steps() -> None:
    criteria = (zoned("tension", must=True), head("record"))
    marks: dict[Place, int] = {
        ("tension", "occipital"): 3,
        ("tension", "side_left"): 1,
        ("record", None): 3,
    }
    result = outcome(
        Marking(
            criteria=criteria,
            zones=(TOP, BACK, NAPE, LEFT),
            marks=marks,
            left_out={"top": "no time", "nape": "no time"},
            rating=2,
            minutes_used=90,
            minutes_allowed=60,
            rules=OutcomeRules(pass_line=Decimal(70)),
        )
    )
    assert [reason.step for reason in result.reasons] == [2, 2, 2, 3, 4, 6, 7, 8, 10]


def test_the_first_of_steps_1_to_7_that_decides_gives_the_outcome() -> None:
    both = outcome(tension({**ALL_SOUND, "nape": 1}, must=True))
    assert codes(both)[:2] == ["must_pass", "weak_zone"]
    assert both.decided_by == 3


def test_a_second_is_needed_whichever_step_decided() -> None:
    near_but_failed = outcome(tension({**ALL_SOUND, "nape": 0}, rules=OutcomeRules(Decimal(70))))
    assert near_but_failed.decided_by == 4
    assert near_but_failed.causes == (SecondCause.NEAR_LINE,)


def test_a_sample_a_request_or_an_appeal_asks_for_a_second_too() -> None:
    for cause in (SecondCause.SAMPLE, SecondCause.REQUEST, SecondCause.APPEAL):
        result = outcome(five(3, 3, 3, 3, 3, asked_for=frozenset({cause})))
        assert result.causes == (cause,)


def test_a_needed_second_is_shown_until_it_is_submitted_then_the_marks() -> None:
    first = outcome(five(2, 2, 3, 3, 3))
    same = outcome(five(3, 3, 3, 3, 3))
    other = outcome(five(2, 2, 2, 2, 2))
    assert first.shown() is Shown.SECOND
    assert first.shown(same) is Shown.COMPETENT
    assert first.shown(other) is Shown.RULING


def test_without_a_second_needed_the_outcome_by_marks_is_shown() -> None:
    assert outcome(five(3, 3, 3, 3, 3)).shown() is Shown.COMPETENT
    assert outcome(five(2, 2, 2, 2, 2)).shown() is Shown.NOT_YET


def test_the_second_marks_own_steps_8_and_9_ask_for_no_third() -> None:
    result = outcome(five(2, 2, 3, 3, 3, rating=1, blind_second=True))
    assert result.causes == ()
    assert codes(result)[-2:] == ["near_line", "rating_differs"]
    assert not any("second assessor" in reason.sentence for reason in result.reasons)


def test_exactly_at_the_line_counts_as_reached_and_is_near_the_line() -> None:
    result = outcome(five(2, 2, 3, 3, 3))
    assert result.by_marks is ByMarks.COMPETENT
    assert result.causes == (SecondCause.NEAR_LINE,)


def test_a_mark_a_hair_under_the_line_is_not_rounded_up_to_it() -> None:
    line = Decimal("66.67")
    criteria = (head("order", weight=2), head("finish"))
    marks = heads(order=3, finish=2)
    rules = OutcomeRules(pass_line=line)
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=3, rules=rules))
    assert result.figures is not None
    assert result.figures.head_mark == Fraction(200, 3)
    assert result.by_marks is ByMarks.NOT_YET
    assert result.head_mark == Decimal("66.667")
    assert result.reasons[1].sentence == "66.667 is below the pass line of 66.67."


def test_the_stored_mark_never_crosses_the_line_by_rounding() -> None:
    criteria = (head("order", weight=2), head("finish"))
    marks = heads(order=3, finish=2)
    rules = OutcomeRules(pass_line=Decimal("66.6667"))
    result = outcome(Marking(criteria=criteria, zones=(), marks=marks, rating=3, rules=rules))
    assert result.by_marks is ByMarks.NOT_YET
    assert result.head_mark == Decimal("66.666")
