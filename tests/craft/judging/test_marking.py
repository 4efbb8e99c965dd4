from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Scope,
    SecondCause,
    missed,
    missing,
)

ORDER = Criterion("order", "Order of work", Scope.HEAD)
TENSION = Criterion("tension", "Tension", Scope.ZONES)
TOP = JudgedZone("top", "top", Decimal("0.15"))
NAPE = JudgedZone("nape", "nape", Decimal("0.09"))


def marking(marks: Any, **rest: Any) -> Marking:
    return Marking(**{"criteria": (ORDER, TENSION), "zones": (TOP, NAPE), "marks": marks, **rest})


def test_what_is_missing_is_listed_by_criterion_then_zone() -> None:
    draft = marking({("tension", "top"): 2})
    assert missing(draft) == [("order", None), ("tension", "nape")]


def test_a_zone_left_out_is_not_missing() -> None:
    draft = marking({("tension", "top"): 2, ("order", None): 3}, left_out={"nape": "no time"})
    assert missing(draft) == []


def test_missed_is_any_level_under_3() -> None:
    levels = {("order", None): 3, ("tension", "top"): 2, ("tension", "nape"): 0}
    assert missed(marking(levels)) == [("tension", "top"), ("tension", "nape")]


@pytest.mark.parametrize(
    ("marks", "sentence"),
    [
        ({("elegance", None): 3}, "mark for elegance, which is not judged here"),
        ({("tension", "crown"): 3}, "tension in crown, which is not judged here"),
        ({("tension", None): 3}, "mark for tension, which is not judged here"),
        ({("order", "top"): 3}, "order in top, which is not judged here"),
        ({("order", None): 5}, "order is at 5. Levels go from 0 to 4"),
        ({("order", None): -1}, "order is at -1"),
        ({("order", None): True}, "order is at True"),
        ({("order", None): 3.0}, "order is at 3.0"),
    ],
)
def test_a_mark_that_belongs_nowhere_is_refused(marks: Any, sentence: str) -> None:
    with pytest.raises(JudgingError, match=sentence):
        marking(marks)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"criteria": ()}, "no criteria"),
        ({"criteria": (ORDER, ORDER)}, "criterion order is there twice"),
        ({"zones": (TOP, TOP)}, "zone top is there twice"),
        ({"zones": ()}, "Tension is judged by zone; name the judged zones"),
        ({"zones": (JudgedZone("top", "top", Decimal(0)),)}, "share of hair .* above 0"),
        ({"criteria": (Criterion("a", "A", Scope.HEAD, weight=Decimal(0)),)}, "no weight above 0"),
        ({"left_out": {"crown": "no time"}}, "crown is not judged in this module"),
        ({"rating": 0}, "overall rating is 0. It goes from 1 to 5"),
        ({"rating": 6}, "overall rating is 6"),
        ({"minutes_used": -1}, "cannot be below 0"),
        ({"asked_for": frozenset({SecondCause.NEAR_LINE})}, "near_line is found, not asked for"),
    ],
)
def test_what_cannot_be_judged_is_refused(change: dict[str, Any], sentence: str) -> None:
    with pytest.raises(JudgingError, match=sentence):
        marking({}, **change)


def test_a_mark_in_a_zone_that_was_left_out_is_refused() -> None:
    with pytest.raises(JudgingError, match="but that zone was left out"):
        marking({("tension", "nape"): 3}, left_out={"nape": "no time"})


def test_rules_below_nothing_are_refused() -> None:
    with pytest.raises(JudgingError, match="cannot be below 0"):
        OutcomeRules(near_band=Decimal(-1))
