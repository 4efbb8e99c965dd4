"""After a "not yet": the sentences of trade.md 5.5 that are computing, and partial outcomes."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from academy.craft.judging.deadlines import (
    is_working_day,
    working_day_after,
    working_days_left,
)
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    Scope,
    SecondCause,
    Stop,
)
from academy.craft.judging.outcome import PARTIAL_STEP, ByMarks, outcome
from academy.craft.judging.reassessment import (
    Practised,
    WholeBecause,
    again_after,
    practice_needed,
)
from academy.craft.judging.stored import marking_from, marking_values, recomputed, stored

CODES = ("V1", "V2", "V3", "V4")
ZONES = (
    JudgedZone("crown", "crown", Decimal("15.9")),
    JudgedZone("nape", "nape", Decimal("9.5")),
)
CRITERIA = (
    Criterion("V1", "Coverage", Scope.ZONES, weight=Decimal(2)),
    Criterion("V2", "Order", Scope.HEAD),
    Criterion("V3", "Saturation", Scope.ZONES),
    Criterion("V4", "Mix", Scope.HEAD, must_pass=True),
)
SOUND = {
    ("V1", "crown"): 3,
    ("V1", "nape"): 3,
    ("V2", None): 3,
    ("V3", "crown"): 3,
    ("V3", "nape"): 3,
    ("V4", None): 3,
}


def head(changed: dict[tuple[str, str | None], int], **fields: object) -> Marking:
    return replace(
        Marking(CRITERIA, ZONES, {**SOUND, **changed}, rating=3),
        **fields,  # type: ignore[arg-type]
    )


def partial(changed: dict[tuple[str, str | None], int], **fields: object) -> Marking:
    """Coverage and order judged again."""
    marks = {place: level for place, level in SOUND.items() if place[0] in ("V1", "V2")}
    bare = Marking(CRITERIA[:2], ZONES, {**marks, **changed}, rating=3, partial=True)
    return replace(bare, **fields)  # type: ignore[arg-type]


def after(*markings: Marking, asked_whole: bool = False, others: int = 1):  # type: ignore[no-untyped-def]
    return again_after(markings, CODES, asked_whole=asked_whole, others=others)


def test_missed_is_any_level_under_3() -> None:
    found = after(head({("V1", "nape"): 1, ("V3", "crown"): 2, ("V2", None): 2}))
    assert found.missed == (("V1", "nape"), ("V2", None), ("V3", "crown"))


def test_otherwise_a_partial_one_missed_criteria_plus_one_other_chosen_by_the_assessor() -> None:
    found = after(head({("V1", "nape"): 1}))
    assert found.partial
    assert found.criteria == ("V1",)
    assert found.choice == ("V2", "V3", "V4")
    assert found.scope(["V3"]) == ("V1", "V3")


@pytest.mark.parametrize("chosen", [[], ["V2", "V3"], ["V1"], ["V9"]])
def test_not_one_other_is_refused(chosen: list[str]) -> None:
    with pytest.raises(JudgingError):
        after(head({("V1", "nape"): 1})).scope(chosen)


def test_no_more_others_are_asked_for_than_there_are() -> None:
    weak = {place: 2 for place in SOUND if place[0] != "V4"}
    found = after(head(weak), others=3)
    assert (found.choice, found.others) == (("V4",), 1)


def test_missed_must_pass_the_whole_module_again() -> None:
    found = after(head({("V4", None): 2}))
    assert found.whole_because == (WholeBecause.MUST,)
    assert found.criteria == CODES


def test_stop_event_the_whole_module_again() -> None:
    stopped = Marking(CRITERIA, ZONES, {("V1", "nape"): 2}, stops=(Stop("gloves", "No gloves."),))
    found = after(stopped)
    assert found.whole_because == (WholeBecause.STOP,)
    assert found.missed == (("V1", "nape"),)


def test_the_educator_may_ask_for_the_whole_module_instead() -> None:
    found = after(head({("V1", "nape"): 1}), asked_whole=True)
    assert found.whole_because == (WholeBecause.ASKED,)


def test_too_many_zones_left_out_the_whole_module_again() -> None:
    bare = Marking(CRITERIA[1:2], ZONES, {("V2", None): 3}, rating=3)
    left = replace(bare, left_out={"crown": "no time", "nape": "no time"})
    found = again_after([left], ["V2"], asked_whole=False, others=1)
    assert found.whole_because == (WholeBecause.LEFT_OUT,)


def test_of_two_marks_that_agree_what_either_missed_is_missed() -> None:
    found = after(head({("V1", "nape"): 1}), head({("V2", None): 1, ("V1", "nape"): 2}))
    assert found.missed == (("V1", "nape"), ("V2", None))
    assert after(head({("V1", "nape"): 1}), head({("V4", None): 1})).whole_because


def test_a_head_without_anything_missed_asks_for_nothing() -> None:
    with pytest.raises(JudgingError, match="Nothing was missed"):
        after(head({}))


def test_practice_heads_cover_the_missed_criterion_and_zone() -> None:
    sessions = [
        Practised(1, frozenset({"V1"}), frozenset({"nape"})),
        Practised(2, frozenset({"V1"}), frozenset({"crown"})),
        Practised(1, frozenset({"V3"}), frozenset({"nape"})),
    ]
    (row,) = practice_needed([("V1", "nape")], sessions, heads=2)
    assert (row.done, row.missing) == (1, 1)
    (row,) = practice_needed([("V3", None)], sessions, heads=1)
    assert row.missing == 0


def test_after_a_stop_without_any_level_every_practice_head_counts() -> None:
    (row,) = practice_needed([], [Practised(2, frozenset(), frozenset())], heads=2)
    assert (row.place, row.missing) == (None, 0)


def test_a_partial_one_has_no_head_mark() -> None:
    decided = outcome(partial({}))
    assert decided.head_mark is None
    assert decided.figures is None
    assert {reason.step for reason in decided.reasons} == {PARTIAL_STEP}


@pytest.mark.parametrize("place", [("V1", "crown"), ("V1", "nape"), ("V2", None)])
def test_competent_if_every_re_judged_criterion_is_3_in_every_zone(
    place: tuple[str, str | None],
) -> None:
    assert outcome(partial({})).by_marks is ByMarks.COMPETENT
    decided = outcome(partial({place: 2}))
    assert decided.by_marks is ByMarks.NOT_YET
    assert decided.decided_by == PARTIAL_STEP
    assert "is at 2" in decided.reasons[0].sentence


def test_a_must_pass_missed_in_a_partial_one_decides_as_step_3() -> None:
    judged = Marking(CRITERIA[3:], ZONES, {("V4", None): 1}, rating=2, partial=True)
    assert outcome(judged).decided_by == 3


def test_a_stop_event_ends_a_partial_one_too() -> None:
    decided = outcome(partial({}, stops=(Stop("gloves", "No gloves."),)))
    assert (decided.decided_by, decided.by_marks) == (1, ByMarks.NOT_YET)


def test_a_zone_left_out_of_a_partial_one_is_not_yet() -> None:
    marks = {("V1", "crown"): 3, ("V2", None): 3}
    left = Marking(
        CRITERIA[:2], ZONES, marks, rating=3, partial=True, left_out={"nape": "too short"}
    )
    decided = outcome(left)
    assert (decided.decided_by, decided.by_marks) == (2, ByMarks.NOT_YET)
    assert "every judged zone" in decided.reasons[1].sentence
    assert after(left).whole_because == (WholeBecause.LEFT_OUT,)


def test_a_low_overall_rating_still_asks_for_a_second_assessor() -> None:
    assert outcome(partial({}, rating=2)).causes == (SecondCause.RATING_DIFFERS,)
    assert not outcome(partial({("V2", None): 2}, rating=5)).causes


def test_nothing_is_said_of_the_pass_line_in_a_partial_one() -> None:
    words = " ".join(reason.sentence for reason in outcome(partial({("V1", "nape"): 2})).reasons)
    assert "pass line" not in words
    assert "head mark is" not in words


def test_an_outcome_stored_before_there_were_partial_ones_keeps_its_bytes() -> None:
    assert "partial" not in marking_values(head({}))


@st.composite
def partials(draw: st.DrawFn) -> Marking:
    criteria = draw(st.lists(st.sampled_from(CRITERIA), min_size=1, unique=True))
    zones = draw(st.lists(st.sampled_from(ZONES), min_size=1, unique=True))
    bare = Marking(tuple(criteria), tuple(zones), {}, partial=True)
    marks = {
        (one.code, zone.code if zone else None): draw(st.integers(0, 4))
        for one, zone in bare.places()
    }
    return replace(
        bare, marks=marks, rating=draw(st.integers(1, 5)), minutes_used=draw(st.integers(0, 90))
    )


@given(partials())
def test_a_partial_one_is_competent_exactly_when_no_level_is_under_3(marking: Marking) -> None:
    decided = outcome(marking)
    competent = min(marking.marks.values()) >= 3
    assert (decided.by_marks is ByMarks.COMPETENT) == competent
    assert decided.figures is None
    assert decided.reasons


@given(partials())
def test_a_partial_outcome_is_recomputed_byte_for_byte(marking: Marking) -> None:
    kept = json.dumps(stored(marking, outcome(marking)), sort_keys=True)
    assert json.dumps(recomputed(json.loads(kept)), sort_keys=True) == kept
    assert marking_from(json.loads(kept)["marking"]) == marking


@given(partials())
def test_after_a_partial_not_yet_all_it_missed_is_judged_again(marking: Marking) -> None:
    if outcome(marking).by_marks is ByMarks.COMPETENT:
        return
    found = after(marking)
    assert {code for code, _ in found.missed} <= set(found.criteria)
    assert not set(found.criteria) & set(found.choice)
    if found.partial:
        assert {*found.criteria, *found.choice} == set(CODES)


FRIDAY = date(2026, 11, 27)
DAYS = st.dates(date(2020, 1, 1), date(2035, 1, 1))
CLOSED = st.frozensets(st.integers(0, 60), max_size=10)


def test_twenty_working_days_are_four_weeks() -> None:
    assert working_day_after(FRIDAY, 20) == date(2026, 12, 25)
    assert working_day_after(FRIDAY, 1) == date(2026, 11, 30)


def test_working_days_follow_the_closed_days_table() -> None:
    christmas = {date(2026, 12, 25), date(2026, 12, 28)}
    assert working_day_after(FRIDAY, 20, christmas) == date(2026, 12, 29)
    assert not is_working_day(date(2026, 12, 25), christmas)


def test_days_left_go_below_nought_once_it_is_past() -> None:
    assert working_days_left(FRIDAY, FRIDAY) == 0
    assert working_days_left(FRIDAY, date(2026, 12, 1)) == 2
    assert working_days_left(date(2026, 12, 1), FRIDAY) == -2


@given(DAYS, st.integers(1, 40), CLOSED)
def test_a_term_ends_on_a_working_day_with_as_many_days_left(
    day: date, count: int, offsets: frozenset[int]
) -> None:
    closed = {day + timedelta(days=n) for n in offsets}
    last = working_day_after(day, count, closed)
    assert is_working_day(last, closed)
    assert working_days_left(day, last, closed) == count
