"""Root colour and foils on one head. Figures: trade.md 4.11 and 4.17, computed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from academy.craft.measure import clock, of_clock
from academy.craft.timing import (
    Event,
    TimingError,
    TwoProcess,
    foils_within,
    minutes_for,
    pace_of,
)

D = Decimal


def plan(
    start: str, application: int, root: int, ceiling: int, foils: int, pace: int
) -> TwoProcess:
    return TwoProcess(
        starts_at=of_clock(start),
        application=D(application),
        root_minutes=D(root),
        root_ceiling=D(ceiling),
        change_over=D(5),
        foils=D(foils),
        pace=D(pace),
        foil_check_after=D(20),
        foil_least=D(20),
        foil_ceiling_after=D(50),
    )


TEN_FOILS = plan("10:00", 20, 40, 50, 10, 2)
FOURTEEN_FOILS = plan("09:00", 20, 35, 45, 14, 3)


def test_ten_foils_in_two_minutes_each_are_ready_before_the_roots_must_be_out() -> None:
    assert {event: clock(TEN_FOILS.at(event)) for event in Event} == {
        Event.ROOT_STARTS: "10:00",
        Event.ROOT_ENDS: "10:20",
        Event.FOILS_START: "10:25",
        Event.FIRST_CLOSED: "10:27",
        Event.LAST_CLOSED: "10:45",
        Event.ROOT_CHECK: "11:00",
        Event.FOIL_CHECK: "10:47",
        Event.FOILS_READY: "11:05",
        Event.ROOT_LATEST: "11:10",
        Event.FOIL_CEILING: "11:17",
        Event.EARLIEST: "11:05",
        Event.LATEST: "11:10",
    }
    assert TEN_FOILS.possible
    assert TEN_FOILS.spread == 18
    assert TEN_FOILS.window == 5
    assert TEN_FOILS.most_foils == 12


def test_at_the_joint_rinse_the_first_foil_has_had_longer_than_the_last() -> None:
    assert TEN_FOILS.exposures(TEN_FOILS.earliest) == (D(38), D(20))


def test_fourteen_foils_in_three_minutes_each_are_too_many() -> None:
    assert clock(FOURTEEN_FOILS.first_closed) == "09:28"
    assert clock(FOURTEEN_FOILS.last_closed) == "10:07"
    assert clock(FOURTEEN_FOILS.foils_ready) == "10:27"
    assert clock(FOURTEEN_FOILS.foil_ceiling) == "10:18"
    assert clock(FOURTEEN_FOILS.latest) == "10:05"
    assert not FOURTEEN_FOILS.possible
    assert FOURTEEN_FOILS.window == -22
    assert FOURTEEN_FOILS.most_foils == 6


def test_five_minutes_more_for_the_roots_move_the_rinse_only_as_far_as_they_decide_it() -> None:
    assert clock(TEN_FOILS.extended(D(5)).earliest) == "11:05"
    fewer = replace(TEN_FOILS, foils=D(6))
    assert clock(fewer.earliest) == "11:00"
    longer = fewer.extended(D(5))
    assert clock(longer.earliest) == "11:05"
    assert longer.root_latest == fewer.root_latest
    before, after = fewer.exposures(fewer.earliest), fewer.exposures(longer.earliest)
    assert [late - early for early, late in zip(before, after, strict=True)] == [5, 5]


def test_the_ceiling_of_the_foils_is_looked_at_again_after_an_extension() -> None:
    short = replace(TEN_FOILS, foil_ceiling_after=D(38))
    assert clock(short.latest) == "11:05"
    assert short.possible
    assert short.extended(D(5)).possible
    assert not short.extended(D(10)).possible


def test_roots_may_not_be_extended_past_their_ceiling() -> None:
    assert not TEN_FOILS.extended(D(15)).possible


def test_a_label_may_count_the_roots_from_the_start_but_never_the_foils() -> None:
    early = replace(TEN_FOILS, from_start=True)
    assert clock(early.root_check) == "10:40"
    assert clock(early.root_latest) == "10:50"
    assert early.first_closed == TEN_FOILS.first_closed


def test_no_foil_fits_where_the_roots_must_be_out_before_one_is_ready() -> None:
    assert plan("10:00", 20, 20, 24, 6, 2).most_foils == 0


@given(
    st.integers(1, 30),
    st.integers(1, 5),
    st.integers(0, 60),
    st.integers(0, 40),
)
def test_the_most_foils_fit_and_one_more_does_not(
    foils: int, pace: int, root: int, slack: int
) -> None:
    thrown = plan("10:00", 20, root, root + slack, foils, pace)
    most = thrown.most_foils
    if most:
        assert replace(thrown, foils=most).foils_ready <= thrown.latest
    assert replace(thrown, foils=most + 1).foils_ready > thrown.latest


def test_what_no_clock_can_hold_is_refused() -> None:
    with pytest.raises(TimingError, match="at least one foil"):
        replace(TEN_FOILS, foils=D(0))
    with pytest.raises(TimingError, match="at least one foil"):
        replace(TEN_FOILS, pace=D(0))
    with pytest.raises(TimingError, match="Change over cannot be below zero"):
        replace(TEN_FOILS, change_over=D(-5))


def test_pace_and_minutes_turn_into_each_other() -> None:
    assert pace_of(D(4), D(15)) == D("3.75")
    assert minutes_for(D(4), D("3.75")) == 15
    assert foils_within(D(15), D("3.75")) == 4
    assert foils_within(D("14.9"), D("3.75")) == 3
    assert foils_within(D(-1), D(3)) == 0
    with pytest.raises(TimingError):
        pace_of(D(0), D(15))
    with pytest.raises(TimingError):
        foils_within(D(15), D(0))
