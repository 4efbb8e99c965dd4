"""What holds for every marking: it is recomputed to the byte, and better marks never harm."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Scope,
    SecondCause,
    Stop,
)
from academy.craft.judging.outcome import ByMarks, Shown, outcome
from academy.craft.judging.stored import (
    marking_from,
    marking_values,
    outcome_from,
    outcome_values,
    recomputed,
    stored,
)

ZONES = ("fringe", "top", "crown", "occipital", "nape")
ASKED = [SecondCause.SAMPLE, SecondCause.REQUEST, SecondCause.APPEAL]


@st.composite
def markings(draw: st.DrawFn) -> Marking:
    """A head as an assessor could submit it."""
    zones = tuple(
        JudgedZone(code, code, draw(st.decimals("0.01", "0.5", places=3)))
        for code in draw(st.lists(st.sampled_from(ZONES), min_size=1, unique=True))
    )
    criteria = tuple(
        Criterion(
            code=f"c{number}",
            title=f"Criterion {number}",
            scope=draw(st.sampled_from(Scope)),
            must_pass=draw(st.booleans()),
            weight=Decimal(draw(st.integers(1, 4))),
        )
        for number in range(draw(st.integers(1, 5)))
    )
    left_out = draw(st.lists(st.sampled_from(zones), max_size=len(zones) - 1, unique=True))
    bare = Marking(criteria, zones, {}, left_out={zone.code: "no time" for zone in left_out})
    marks = {
        (one.code, zone.code if zone else None): draw(st.integers(0, 4))
        for one, zone in bare.places()
    }
    return replace(
        bare,
        marks=marks,
        rating=draw(st.integers(1, 5)),
        stops=draw(st.sampled_from([(), (), (Stop("no-gloves", "No gloves."),)])),
        minutes_used=draw(st.none() | st.integers(0, 200)),
        minutes_allowed=draw(st.none() | st.integers(0, 200)),
        asked_for=frozenset(draw(st.sets(st.sampled_from(ASKED)))),
        blind_second=draw(st.booleans()),
        rules=OutcomeRules(
            pass_line=draw(st.decimals(60, 75, places=2)),
            near_band=draw(st.decimals(0, 8, places=2)),
            weak_zone=draw(st.integers(0, 2)),
        ),
    )


def as_bytes(values: object) -> bytes:
    return json.dumps(values, sort_keys=True).encode()


@given(markings())
def test_a_stored_outcome_is_recomputed_byte_for_byte(marking: Marking) -> None:
    kept = as_bytes(stored(marking, outcome(marking)))
    assert as_bytes(recomputed(json.loads(kept))) == kept


@given(markings())
def test_a_marking_and_an_outcome_come_back_as_they_were(marking: Marking) -> None:
    result = outcome(marking)
    assert marking_from(json.loads(as_bytes(marking_values(marking)))) == marking
    assert outcome_from(json.loads(as_bytes(outcome_values(result)))) == result


@given(markings(), st.data())
def test_a_better_level_never_lowers_the_mark_or_takes_competent_away(
    marking: Marking, data: st.DataObject
) -> None:
    before = outcome(marking)
    place = data.draw(st.sampled_from(sorted(marking.marks, key=str)))
    level = data.draw(st.integers(marking.marks[place], 4))
    after = outcome(replace(marking, marks={**marking.marks, place: level}))
    if before.figures and after.figures:
        assert after.figures.head_mark >= before.figures.head_mark
    if before.by_marks is ByMarks.COMPETENT:
        assert after.by_marks is ByMarks.COMPETENT


@given(markings())
def test_the_stored_mark_lies_on_the_side_of_the_line_of_the_exact_one(marking: Marking) -> None:
    result = outcome(marking)
    if result.figures is not None and result.head_mark is not None:
        line = marking.rules.pass_line
        assert (result.head_mark >= line) == (result.figures.head_mark >= Fraction(line))
        assert abs(Fraction(result.head_mark) - result.figures.head_mark) < Fraction(1, 1000)


@given(markings())
def test_reasons_come_in_the_order_of_the_steps_and_one_step_decides(marking: Marking) -> None:
    result = outcome(marking)
    steps = [reason.step for reason in result.reasons]
    assert steps == sorted(steps)
    assert result.decided_by in steps
    assert result.second_needed is (result.shown() is Shown.SECOND)


def test_an_outcome_of_another_version_of_the_steps_is_not_recomputed_here() -> None:
    with pytest.raises(JudgingError, match="version 0 of the steps"):
        recomputed({"version": 0})


def test_values_that_are_no_marking_are_refused() -> None:
    with pytest.raises(JudgingError, match="no stored marking"):
        marking_from({"criteria": []})
    with pytest.raises(JudgingError, match="no stored outcome"):
        outcome_from({"by_marks": "competent"})
