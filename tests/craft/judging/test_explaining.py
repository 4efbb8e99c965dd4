"""Every step of an outcome in words, and deciding again from what is stored."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given

from academy.craft.judging.errors import JudgingError
from academy.craft.judging.explaining import Step, steps
from academy.craft.judging.marking import Criterion, JudgedZone, Marking, Scope, Stop
from academy.craft.judging.outcome import PARTIAL_STEP, outcome
from academy.craft.judging.recheck import recheck
from academy.craft.judging.stored import stored
from tests.craft.judging.test_outcome_holds import markings

# The example of docs/outcome.md, whose figures a test of its own computes.
MARKING = Marking(
    criteria=(
        Criterion("C1", "Sectioning", Scope.ZONES, must_pass=True),
        Criterion("C2", "Tension", Scope.ZONES, weight=Decimal(2)),
        Criterion("C3", "Record", Scope.HEAD),
    ),
    zones=(
        JudgedZone("top", "top", Decimal("15.7")),
        JudgedZone("occipital", "occipital", Decimal("35.7")),
        JudgedZone("nape", "nape", Decimal("9.5")),
    ),
    marks={
        **{("C1", zone): 3 for zone in ("top", "occipital", "nape")},
        ("C2", "top"): 2,
        ("C2", "occipital"): 3,
        ("C2", "nape"): 2,
        ("C3", None): 2,
    },
    rating=4,
    minutes_used=75,
    minutes_allowed=60,
)


def explained(marking: Marking) -> dict[int, Step]:
    return {step.number: step for step in steps(marking, outcome(marking))}


def test_the_ten_steps_come_in_their_order() -> None:
    assert list(explained(MARKING)) == list(range(1, 11))


def test_each_step_shows_the_figures_of_this_head() -> None:
    found = explained(MARKING)
    assert "Tension: (15.7 × 2 + 35.7 × 3 + 9.5 × 2) / 60.9 = 2.586" in found[5].figures
    assert found[6].figures == ("100 × (1 × 3 + 2 × 2.586 + 1 × 2) / 16 = 63.578",)
    assert found[7].figures == ("Head mark 63.6, pass line 65",)
    assert found[8].figures == ("Head mark 63.6, band 62 to 68",)
    assert found[10].figures == ("75 minutes used, 60 allowed; a note is made over 72",)


def test_one_step_decides_and_says_so() -> None:
    found = explained(MARKING)
    assert [step.number for step in found.values() if step.decides] == [7]
    assert found[7].follows == "Decides: not yet."
    assert found[9].follows == "A second assessor looks too."
    assert found[10].follows == "Noted."


def test_a_later_step_that_is_not_met_names_the_one_that_decided() -> None:
    marks = {**MARKING.marks, ("C1", "nape"): 1}
    found = explained(replace(MARKING, marks=marks))
    assert found[3].decides
    assert found[4].follows == "Not met. Step 3 had decided."
    assert found[7].follows == "Step 3 had decided."


def test_after_a_stop_nothing_else_was_computed() -> None:
    found = explained(replace(MARKING, stops=(Stop("gloves", "No gloves."),)))
    assert found[1].figures == ("No gloves.",)
    assert not any(found[number].applies for number in range(2, 11))


def test_a_partial_one_shows_its_own_rule_in_place_of_steps_4_to_8() -> None:
    found = explained(replace(MARKING, partial=True, criteria=MARKING.criteria))
    assert [number for number, step in found.items() if not step.applies] == [4, 5, 6, 7, 8]
    assert found[PARTIAL_STEP].figures[1] == "Tension: top 2, occipital 3, nape 2"
    assert found[PARTIAL_STEP].decides


@given(markings())
def test_every_outcome_is_explained_with_exactly_one_deciding_step(marking: Marking) -> None:
    found = explained(marking)
    assert [step.number for step in found.values() if step.decides] == [outcome(marking).decided_by]
    assert all(step.follows for step in found.values())


@given(markings())
def test_what_was_not_touched_comes_out_byte_for_byte(marking: Marking) -> None:
    values = json.loads(json.dumps(stored(marking, outcome(marking))))
    assert recheck(values).same


def test_a_changed_level_is_named() -> None:
    values = stored(MARKING, outcome(MARKING))
    values["outcome"]["by_marks"] = "competent"
    found = recheck(values)
    assert found.differences == (("outcome.by_marks", '"competent"', '"not_yet"'),)


def test_another_version_of_the_steps_is_not_passed_off_as_the_same() -> None:
    values = {**stored(MARKING, outcome(MARKING)), "version": 0}
    with pytest.raises(JudgingError, match="version 0"):
        recheck(values)
