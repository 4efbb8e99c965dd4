"""Outcomes of every version are decided again to the byte, and no word changes without a rise."""

from __future__ import annotations

import inspect
import json
import re
from typing import Any

import pytest

from academy.craft.judging import sentences, stored as storing
from academy.craft.judging.errors import JudgingError
from academy.craft.judging.marking import SecondCause
from academy.craft.judging.outcome import OUTCOME_VERSION, outcome
from academy.craft.judging.recheck import recheck
from academy.craft.judging.stored import VERSIONS, recomputed, stored
from tests.craft.judging.pin import MARKINGS, pinned_in


def pinned(version: int) -> list[dict[str, Any]]:
    values: list[dict[str, Any]] = json.loads(pinned_in(version).read_text(encoding="utf-8"))
    return values


@pytest.mark.parametrize("version", sorted(VERSIONS))
def test_what_was_pinned_for_a_version_comes_out_the_same_byte_for_byte(version: int) -> None:
    values = pinned(version)
    assert len(values) >= len(MARKINGS)
    for one in values:
        assert one["version"] == version
        assert recheck(one).differences == ()


def test_what_is_stored_today_is_what_was_pinned() -> None:
    """Fails where a step or a sentence was changed: then `OUTCOME_VERSION` has to rise."""
    today = [json.loads(json.dumps(stored(one, outcome(one)))) for one in MARKINGS]
    assert today == pinned(OUTCOME_VERSION)


def test_the_newest_version_is_the_one_that_is_stored() -> None:
    assert max(VERSIONS) == OUTCOME_VERSION


def test_every_reason_cause_and_deciding_step_is_among_the_pinned() -> None:
    outcomes = [one["outcome"] for one in pinned(OUTCOME_VERSION)]
    said = {reason["code"] for one in outcomes for reason in one["reasons"]}
    written = set(re.findall(r'Reason\(\s*\w+,\s*"(\w+)"', inspect.getsource(sentences)))
    assert said == written | {"reached", "below"}
    assert {cause for one in outcomes for cause in one["causes"]} == set(SecondCause)
    assert {one["decided_by"] for one in outcomes} == {1, 2, 3, 4, 7, sentences.PARTIAL_STEP}


def test_after_a_rise_an_old_outcome_is_decided_by_its_own_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    old = pinned(OUTCOME_VERSION)[0]
    rise = OUTCOME_VERSION + 1

    def otherwise(values: dict[str, Any]) -> dict[str, Any]:
        found = VERSIONS[OUTCOME_VERSION](values)
        return {**found, "outcome": {**found["outcome"], "by_marks": "not_yet"}}

    monkeypatch.setattr(storing, "VERSIONS", {**VERSIONS, rise: otherwise})
    assert recomputed(old) == old
    assert recomputed({**old, "version": rise})["outcome"]["by_marks"] == "not_yet"
    assert recheck(old).same


@pytest.mark.parametrize("version", [0, None, "1", [1], 99])
def test_a_version_that_never_was_is_refused(version: object) -> None:
    with pytest.raises(JudgingError, match=r"version .* of the steps, which is not known here: 1"):
        recomputed({**pinned(1)[0], "version": version})
