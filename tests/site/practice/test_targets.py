from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from hypothesis import given, strategies as st

from academy.curriculum.content import PracticeUnit, TargetLine, tag_words
from academy.curriculum.templatetags.curriculum import target_words
from academy.practice.models import PracticeSession
from academy.practice.queries import progress_of
from academy.practice.targets import Done, progress
from academy.practice.words import counted_words, far_words, kind_words, time_words

if TYPE_CHECKING:
    from academy.people.models import Person

Log = Callable[..., PracticeSession]
TAGS = st.sampled_from(["", "resistant", "fine"])
UNITS = st.sampled_from(PracticeUnit)
DONE = st.builds(Done, UNITS, st.integers(1, 500), TAGS)
LINE = st.builds(TargetLine, st.integers(1, 60), UNITS, TAGS)


def test_what_was_done_counts_towards_every_line_it_fits(log: Log, apprentice: Person) -> None:
    """trade.md 3.0: "heads 5; heads 3 resistant" is five in all."""
    version = log(heads=2).module_version
    log(heads=2, tag="resistant", days=2)
    heads, resistant = progress_of(apprentice, version).lines
    assert (heads.done, heads.missing, resistant.done, resistant.missing) == (4, 1, 2, 1)
    log(heads=1, tag="resistant", days=3)
    assert progress_of(apprentice, version).met


def test_five_plain_heads_leave_the_resistant_line_open(log: Log, apprentice: Person) -> None:
    version = log(heads=5).module_version
    found = progress_of(apprentice, version)
    assert not found.met
    assert found.next_line is not None
    assert found.next_line.missing_words == "3 heads, resistant"


@given(st.lists(LINE, max_size=6), st.lists(DONE, max_size=12), DONE)
def test_more_practice_never_takes_anything_away(
    target: list[TargetLine], done: list[Done], more: Done
) -> None:
    before, after = progress(target, done), progress(target, [*done, more])
    assert all(new.done >= old.done for old, new in zip(before.lines, after.lines, strict=True))
    assert after.share >= before.share
    assert not before.met or after.met


@given(st.lists(LINE, max_size=6), st.lists(DONE, max_size=12))
def test_it_is_met_when_nothing_is_missing_and_its_share_stays_within_one(
    target: list[TargetLine], done: list[Done]
) -> None:
    found = progress(target, done)
    assert found.met == (sum(line.missing for line in found.lines) == 0)
    assert 0 <= found.share <= 1
    assert (found.next_line is None) == found.met


@given(st.lists(LINE, max_size=6), st.lists(DONE, max_size=12), st.randoms())
def test_the_order_of_sessions_does_not_matter(
    target: list[TargetLine], done: list[Done], random: object
) -> None:
    shuffled = list(done)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert progress(target, done) == progress(target, shuffled)


@given(st.lists(DONE, max_size=12), UNITS)
def test_a_plain_line_counts_every_kind_of_its_unit(done: list[Done], unit: PracticeUnit) -> None:
    (line,) = progress([TargetLine(1, unit, "")], done).lines
    assert line.done == sum(row.count for row in done if row.unit == unit)


def test_counts_and_times_read_as_people_say_them() -> None:
    assert counted_words(1, "set-ups") == "1 set-up"
    assert counted_words(2, "heads", "resistant") == "2 heads, resistant"
    assert [time_words(minutes) for minutes in (0, 45, 60, 320)] == [
        "0 min",
        "45 min",
        "1 h",
        "5 h 20 min",
    ]


def test_a_target_that_is_reached_says_so_and_how_many_lie_beyond() -> None:
    assert [far_words(done, 5) for done in (0, 3, 5, 6)] == [
        "0 of 5",
        "3 of 5",
        "5 of 5, reached",
        "5 of 5, reached and 1 beyond",
    ]


def test_tags_read_as_words() -> None:
    assert counted_words(1, "heads", "virgin-full-head") == "1 head, virgin full head"
    assert kind_words("heads", "t-section") == "Heads, T-section"
    assert [tag_words(tag) for tag in ("half-head", "one-panel", "resistant", "")] == [
        "half head", "one panel", "resistant", "",
    ]  # fmt: skip
    assert target_words(TargetLine(1, PracticeUnit.HEADS, "one-panel")).endswith("head, one panel")
