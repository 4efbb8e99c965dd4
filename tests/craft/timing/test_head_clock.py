"""The clock of a planned head. Figures: trade.md 4.11, and minutes added up one by one here."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings as slower, strategies as st

from academy.craft.exercise.engine import Level, draw
from academy.craft.exercise.families.order_of_a_two_process_plan import PlanOrder
from academy.craft.exercise.families.two_process_timing import Service
from academy.craft.measure import clock
from academy.craft.rules import Rules
from academy.craft.rules.shipped import standard_rules
from academy.craft.timing import TimingError
from academy.craft.timing.head_clock import (
    ClockSettings,
    HeadClock,
    LaidFoil,
    RootColour,
    head_clock,
)
from tests.craft.timing.heads import ROOTS, D, laid, usual

TEN = head_clock(laid(10), usual(roots=ROOTS))
HALF_HEAD = head_clock(laid(41), usual())

minutes = st.decimals(0, 90, places=1)
paces = st.decimals("0.1", 30, places=1)


@st.composite
def figures(draw: st.DrawFn) -> ClockSettings:
    ceiling, root_ceiling = draw(minutes), draw(minutes)
    roots = RootColour(
        draw(minutes),
        min(draw(minutes), root_ceiling),
        root_ceiling,
        draw(st.booleans()),
        draw(st.integers(0, 20)),
    )
    return ClockSettings(
        starts_at=D(draw(st.integers(0, 1439))),
        pace=draw(paces),
        foil_check_after=min(draw(minutes), ceiling),
        foil_least=min(draw(minutes), ceiling),
        foil_ceiling_after=ceiling,
        change_over=draw(minutes),
        roots=draw(st.sampled_from([roots, None])),
    )


def by_hand(count: int, given: ClockSettings) -> dict[str, Decimal]:
    """The same times walked through minute by minute, in the order things are done."""
    now, roots = given.starts_at, given.roots
    due, out = now, None
    if roots is not None:
        on = now + roots.application
        counts = now if roots.from_start else on
        due, out = counts + roots.minutes, counts + roots.ceiling
        now = on + given.change_over
    closed = []
    for _ in range(count):
        now += given.pace
        closed.append(now)
    ready = max(at + given.foil_least for at in closed)
    ceilings = [at + given.foil_ceiling_after for at in closed] + ([out] if out is not None else [])
    return {
        "first": closed[0],
        "last": closed[-1],
        "earliest": max(due, ready),
        "latest": min(ceilings),
    }


@given(st.integers(1, 80), figures())
def test_every_time_is_the_one_added_up_step_by_step(count: int, given: ClockSettings) -> None:
    head, right = head_clock(laid(count), given), by_hand(count, given)
    assert head.first.closed == right["first"]
    assert head.last.closed == right["last"]
    assert head.earliest == right["earliest"]
    assert head.latest == right["latest"]
    assert head.window == right["latest"] - right["earliest"]
    assert head.possible == (right["earliest"] <= right["latest"])
    assert head.spread == right["last"] - right["first"]


def test_the_worked_example_of_the_trade_comes_out() -> None:
    assert TEN.root_ends == 620
    assert clock(TEN.root_check or 0) == "11:00"
    assert clock(TEN.root_latest or 0) == "11:10"
    assert clock(TEN.foil_check) == "10:47"
    assert clock(TEN.foils_ready) == "11:05"
    assert clock(TEN.foil_ceiling) == "11:17"
    assert (clock(TEN.earliest), clock(TEN.latest)) == ("11:05", "11:10")
    assert (TEN.at_earliest.first, TEN.at_earliest.last) == (D(38), D(20))
    assert (TEN.at_latest.first, TEN.at_latest.last, TEN.at_latest.spread) == (D(43), D(25), D(18))


def test_each_foil_and_each_parting_has_its_own_times() -> None:
    third = TEN.foils[2]
    assert (clock(third.begun), clock(third.closed)) == ("10:29", "10:31")
    assert (clock(third.ready), clock(third.out_by)) == ("10:51", "11:21")
    assert third.exposure(TEN.earliest) == 34
    assert third.exposure(third.begun) == -2
    second = TEN.partings[1]
    assert second.numbers == (3, 4)
    assert second.where == "crown; left side"
    assert (clock(second.first_closed), clock(second.last_closed)) == ("10:31", "10:33")
    assert second.exposures(TEN.earliest) == (D(34), D(32))
    assert [number for parting in TEN.partings for number in parting.numbers] == list(range(1, 11))


def test_a_parting_taken_up_again_later_stays_one_row() -> None:
    foils = [
        LaidFoil(1, 7, "strip", "top"),
        LaidFoil(2, 8, "strip", "top"),
        LaidFoil(3, 7, "strip", "top"),
    ]
    head = head_clock(foils, usual())
    assert [parting.parting for parting in head.partings] == [7, 8]
    assert head.partings[0].numbers == (1, 3)
    assert head.partings[0].where == "strip, top"


def test_the_partings_of_the_roots_share_the_application_evenly() -> None:
    head = head_clock(laid(4), usual(roots=replace(ROOTS, partings=6)))
    assert head.root_partings[0].begun == 600
    assert head.root_partings[-1].ended == head.root_ends == 620
    takes = {round(parting.ended - parting.begun, 6) for parting in head.root_partings}
    assert takes == {round(D(20) / 6, 6)}
    assert all(
        one.ended == other.begun
        for one, other in zip(head.root_partings, head.root_partings[1:], strict=False)
    )
    assert head.root_partings[-1].exposure(D(660)) == 40
    assert TEN.root_partings == ()


def test_without_roots_only_the_foils_decide() -> None:
    alone = head_clock(laid(10), usual())
    assert (alone.root_ends, alone.root_check, alone.root_latest) == (None, None, None)
    assert clock(alone.first.begun) == "10:00"
    assert (alone.earliest, alone.latest) == (alone.foils_ready, alone.foil_ceiling)
    assert alone.window == 50 - 20 - 9 * 2


def test_sixteen_foils_leave_a_window_of_nothing_and_one_more_none() -> None:
    whole = head_clock(laid(16), usual())
    assert whole.possible
    assert whole.window == 0
    assert not head_clock(laid(17), usual()).possible


def test_one_foil_has_no_spread() -> None:
    one = head_clock(laid(1), usual())
    assert (one.spread, one.window) == (D(0), D(30))
    assert one.first is one.last


def test_a_label_that_counts_from_the_start_gives_the_first_strand_the_ceiling() -> None:
    early = head_clock(laid(4), usual(roots=replace(ROOTS, from_start=True)))
    assert clock(early.root_latest or 0) == "10:50"
    assert early.first.closed == TEN.first.closed


def test_five_minutes_more_are_held_against_every_ceiling() -> None:
    five, ten = TEN.extended(D(5)), TEN.extended(D(10))
    assert (clock(five.rinse), five.first, five.past) == ("11:10", D(43), ())
    assert five.allowed
    assert (ten.roots_past, ten.past, ten.allowed) == (True, (), False)
    assert "foil 1 to 43 min" in five.sentence
    assert "the roots pass theirs at 11:10" in ten.sentence
    full = head_clock(laid(16), usual()).extended(D(5))
    assert (full.first, full.past) == (D(55), (1, 2, 3))
    assert not full.allowed
    assert "foils 1 to 3 pass their ceiling of 50 min, foil 1 at 55 min" in full.sentence
    with pytest.raises(TimingError, match="for example 5"):
        TEN.extended(D(-1))


@given(st.integers(1, 80), figures(), minutes)
def test_an_extension_is_allowed_exactly_as_far_as_the_window(
    count: int, given: ClockSettings, by: Decimal
) -> None:
    head = head_clock(laid(count), given)
    longer = head.extended(by)
    assert longer.allowed == (by <= head.window)
    over = [f.number for f in head.foils if f.exposure(longer.rinse) > given.foil_ceiling_after]
    assert list(longer.past) == over


@given(st.integers(1, 80), figures(), st.decimals("0.1", 5, places=1))
def test_a_slower_pace_never_narrows_the_spread_nor_widens_the_window_of_foils_alone(
    count: int, given: ClockSettings, slower: Decimal
) -> None:
    given = replace(given, roots=None)
    head = head_clock(laid(count), given)
    slow = head_clock(laid(count), given.at_pace(given.pace + slower))
    assert slow.spread >= head.spread
    assert slow.window <= head.window


@given(st.integers(1, 79), figures())
def test_a_foil_more_never_shortens_the_spread_nor_widens_the_window(
    count: int, given: ClockSettings
) -> None:
    head, more = head_clock(laid(count), given), head_clock(laid(count + 1), given)
    assert more.spread == head.spread + given.pace
    assert more.window <= head.window


@slower(max_examples=40)
@given(st.integers(0, 5000), st.sampled_from(list(Level)))
def test_every_drawn_two_process_question_has_the_same_times(seed: int, level: Level) -> None:
    rules = Rules(standard_rules())
    for family, parameters in (
        ("two-process-timing", Service),
        ("order-of-a-two-process-plan", PlanOrder),
    ):
        values: dict[str, Any] = dict(draw(family, level, seed, rules).parameters)
        drawn = parameters(**values)
        head = _as_a_head(drawn)
        # The fields that they share, whatever the family adds.
        assert head.earliest == drawn.earliest
        assert head.latest == drawn.latest
        assert (head.root_check, head.root_latest) == (drawn.root_check, drawn.root_latest)
        assert (head.first.closed, head.last.closed) == (drawn.first_closed, drawn.last_closed)
        assert (head.foil_check, head.foils_ready) == (drawn.foil_check, drawn.foils_ready)
        assert head.foil_ceiling == drawn.foil_ceiling == head.first.out_by
        assert (head.possible, head.spread) == (drawn.possible, drawn.spread)
        then = head.at_earliest
        assert (then.first, then.last) == drawn.exposures(drawn.earliest)
        if drawn.root_check >= drawn.foils_ready:
            assert head.extended(D(5)).allowed == drawn.extended(D(5)).possible


def _as_a_head(drawn: Service | PlanOrder) -> HeadClock:
    roots = RootColour(drawn.application, drawn.root_minutes, drawn.root_ceiling, drawn.from_start)
    given = ClockSettings(
        drawn.starts_at,
        drawn.pace,
        drawn.foil_check_after,
        drawn.foil_least,
        drawn.foil_ceiling_after,
        drawn.change_over,
        roots,
    )
    return head_clock(laid(int(drawn.foils)), given)


@pytest.mark.parametrize(
    ("figures", "sentence"),
    [
        ({"pace": D(0)}, "pace above zero"),
        ({"pace": D(-1)}, "The pace is a number of minutes"),
        ({"starts_at": D("NaN")}, "The start is a number of minutes"),
        ({"change_over": D("Infinity")}, "gloves and comb is a number of minutes"),
        ({"starts_at": D(1440)}, "time of day"),
        ({"foil_least": D(51)}, "A foil needs 51 min, past its ceiling of 50 min"),
        ({"foil_check_after": D(55)}, "first look comes after 55 min, past its ceiling"),
        ({"roots": replace(ROOTS, minutes=D(55))}, "develops 55 min, past its ceiling of 50"),
        ({"roots": replace(ROOTS, application=D(-5))}, "application of the root colour is"),
        ({"roots": replace(ROOTS, partings=-1)}, "partings of the root colour"),
    ],
)
def test_figures_that_no_clock_can_hold_are_refused(
    figures: dict[str, object], sentence: str
) -> None:
    with pytest.raises(TimingError, match=sentence):
        usual(**figures)


def test_a_plan_without_foils_or_with_a_number_twice_is_refused() -> None:
    with pytest.raises(TimingError, match="lays no foils"):
        head_clock([], usual())
    with pytest.raises(TimingError, match="same number"):
        head_clock([*laid(2), *laid(1)], usual())
