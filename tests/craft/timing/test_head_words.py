"""What the clock of a head says: its events, its advice, its cautions."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from academy.craft.timing.head_advice import most_foils_together, slowest_pace
from academy.craft.timing.head_clock import ClockSettings, head_clock
from academy.craft.timing.head_events import EventKind
from academy.craft.timing.telling import told, told_between, told_foils, told_limit
from tests.craft.timing.heads import ROOTS, D, laid, usual
from tests.craft.timing.test_head_clock import HALF_HEAD, TEN, figures


def said(head_advice: tuple[str, ...]) -> str:
    return " ".join(head_advice)


def test_one_looks_first_where_foils_have_had_longest_then_at_the_youngest() -> None:
    head = head_clock(laid(41, 3), usual(pace=D(1)))
    look = next(event for event in head.events if event.kind is EventKind.LOOK)
    assert look.time == "10:21"
    assert look.where == "crown"
    assert look.words == (
        "Look at foils 1 to 3, crown: they have had longest, 20 to 18 min. "
        "Then at foil 21, left side, closed last so far: 0 min."
    )
    ready = next(event for event in head.events if event.words.startswith("Look at foil 41"))
    assert (ready.time, ready.where) == ("11:01", "top")


def test_roots_are_looked_at_near_the_place_applied_last() -> None:
    head = head_clock(laid(4), usual(roots=replace(ROOTS, partings=6)))
    look = next(event for event in head.events if "roots near" in event.words)
    assert (look.time, look.kind, look.where) == ("11:00", EventKind.LOOK, "root parting 6")


def test_the_latest_joint_rinse_says_whose_ceiling_it_is_and_no_ceiling_is_told_twice() -> None:
    limits = [event for event in TEN.events if event.kind is EventKind.LIMIT]
    assert [(event.time, event.words.split(":")[0]) for event in limits] == [
        ("11:10", "Latest joint rinse, the ceiling of the roots, 50 min"),
        ("11:17", "Foil 1 must be out"),
    ]


def test_without_a_joint_rinse_foils_come_out_one_by_one() -> None:
    words = [event.words for event in HALF_HEAD.events]
    assert not any("joint rinse" in line for line in words)
    assert any(line.startswith("From now on foils come out singly") for line in words)
    assert HALF_HEAD.events[-1].time == "12:12"
    assert HALF_HEAD.events[-1].words.startswith("Foil 41, the last one, must be out")


@given(st.integers(1, 80), figures())
def test_events_come_in_the_order_of_the_clock_and_none_is_lost(
    count: int, given: ClockSettings
) -> None:
    head = head_clock(laid(count), given)
    times = [event.at for event in head.events]
    assert times == sorted(times)
    assert {head.first.closed, head.last.closed, head.foil_check} <= set(times)
    if head.possible:
        assert {head.earliest, head.latest} <= set(times)
    ceilings = {head.foil_ceiling, head.root_latest} - {None}
    assert ceilings <= set(times)


def test_a_plan_that_fits_says_its_reserve() -> None:
    assert TEN.advice[0] == (
        "Roots and foils can be rinsed together from 11:05 to 11:10: 5 min in reserve."
    )
    assert "foil 1 has had 38 min and foil 10 20 min: 18 min between them" in TEN.advice[1]
    assert TEN.advice[2] == "It still fits at 2.5 min a foil."
    assert TEN.advice[3] == "At this pace 2 foils more would fit."


def test_a_window_of_nothing_is_one_time() -> None:
    head = head_clock(laid(16), usual())
    assert head.advice[0] == "All foils can be rinsed together at 10:52: nothing in reserve."


def test_a_half_head_too_slow_is_told_what_would_fit() -> None:
    words = said(HALF_HEAD.advice)
    assert "Foil 41 is ready at 11:42, but foil 1 must be out by 10:52, 50 min before." in words
    assert "At 2 min a foil, 16 foils can be rinsed together, 25 fewer." in words
    assert "each may take 0.7 min at most" in words
    assert "foil 1 from 10:22 to 10:52, foil 41 from 11:42 to 12:12" in words
    assert "only 26 of 41 are closed" in words
    assert "closed and covered" not in words


def test_roots_that_cannot_wait_for_the_foils_may_be_rinsed_first() -> None:
    words = said(head_clock(laid(14), usual(pace=D(3), roots=ROOTS)).advice)
    assert "Or rinse the roots first, by 11:10, with the foils closed and covered." in words


def test_foils_begun_too_early_for_the_roots_are_begun_later() -> None:
    given = usual(roots=ROOTS, foil_ceiling_after=D(28))
    head = head_clock(laid(4), given)
    assert not head.possible
    assert (
        "Begun 5 min later, at 10:30, the foils can be rinsed with the roots at 11:00."
        in head.advice
    )
    assert head_clock(laid(4), given.later(D(5))).possible


@given(st.integers(1, 80), figures())
def test_what_is_advised_does_fit_and_one_step_more_does_not(
    count: int, given: ClockSettings
) -> None:
    head = head_clock(laid(count), given)
    most = int(most_foils_together(head))
    if most:
        assert head_clock(laid(most), given).possible
    assert not head_clock(laid(most + 1), given).possible
    pace = slowest_pace(head)
    if pace is not None:
        assert head_clock(laid(count), given.at_pace(pace)).possible
        assert not head_clock(laid(count), given.at_pace(pace + D("0.1"))).possible


@given(st.integers(1, 80), figures())
def test_no_advised_rinse_lies_past_a_ceiling(count: int, given: ClockSettings) -> None:
    head = head_clock(laid(count), given)
    if head.possible:
        assert _minutes(_times(head.advice[0])[-1]) <= head.latest
        return
    (singly,) = (line for line in head.advice if line.startswith("Or open foils singly"))
    each = singly.split("foil ")[1:]
    for foil, words in zip((head.first, head.last), each[-2:] if count > 1 else each, strict=False):
        assert _minutes(_times(words)[-1]) <= foil.out_by
    for line in head.advice:
        if line.startswith("Or rinse the roots"):
            assert _minutes(_times(line)[0]) <= (head.root_latest or 0)


def _times(words: str) -> list[str]:
    """The clock times; a window within a later day says the day at its end."""
    return re.findall(r"\d\d:\d\d(?: next day| \d days later)?", words)


def _minutes(time: str) -> int:
    hour, _, day = time.partition(" ")
    hours, rest = hour.split(":")
    days = 1 if day == "next day" else int(day[:1] or 0)
    return int(hours) * 60 + int(rest) + 1440 * days


def test_the_product_label_is_named_in_every_plan() -> None:
    for head in (TEN, HALF_HEAD, head_clock(laid(2), usual(roots=replace(ROOTS, from_start=True)))):
        assert head.cautions[0].startswith("The longest time on the product label counts before")
        assert any("first one closed reaches the ceiling first" in line for line in head.cautions)
    assert any("had it up to 20 min longer" in line for line in TEN.cautions)
    assert not any("roots" in line for line in HALF_HEAD.cautions)
    early = head_clock(laid(2), usual(roots=replace(ROOTS, from_start=True)))
    assert any("counts from the start of application" in line for line in early.cautions)


def test_a_plan_may_cross_midnight() -> None:
    head = head_clock(laid(10), usual(starts_at=D(23 * 60 + 30)))
    assert head.advice[0] == (
        "All foils can be rinsed together from 00:10 to 00:22 next day: 12 min in reserve."
    )
    crossing = head_clock(laid(10), usual(starts_at=D(23 * 60 + 10)))
    assert "from 23:50 to 00:02 next day" in crossing.advice[0]


@pytest.mark.parametrize(
    ("minutes", "time", "limit"),
    [
        (D(665), "11:05", "11:05"),
        (D("665.1"), "11:06", "11:05"),
        (D("1439.5"), "00:00 next day", "23:59"),
        (D(1450), "00:10 next day", "00:10 next day"),
        (D(2900), "00:20 2 days later", "00:20 2 days later"),
    ],
)
def test_part_minutes_are_told_on_the_safe_side(minutes: Decimal, time: str, limit: str) -> None:
    assert (told(minutes), told_limit(minutes)) == (time, limit)


def test_a_window_without_a_whole_minute_is_told_by_its_ceiling() -> None:
    assert told_between(D("665.2"), D("665.8")) == "at 11:05"
    assert told_between(D("664.2"), D("666.8")) == "from 11:05 to 11:06"
    assert told_between(D(1430), D(1450)) == "from 23:50 to 00:10 next day"
    assert told_between(D(1441), D(1450)) == "from 00:01 to 00:10 next day"
    with pytest.raises(ValueError, match="cannot be told"):
        told_between(D(666), D(665))


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((7,), "foil 7"),
        ((1, 2), "foils 1 and 2"),
        ((1, 2, 3), "foils 1 to 3"),
        ((2, 5, 6), "foils 2, 5 and 6"),
    ],
)
def test_foils_are_named_by_number(numbers: tuple[int, ...], words: str) -> None:
    assert told_foils(numbers) == words
