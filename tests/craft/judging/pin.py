"""Markings that meet every step and every reason, and how they are pinned for a new version.

    python -m tests.craft.judging.pin

writes `outcomes_<version>.json` once; what was pinned is never written again.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from academy.craft.judging.marking import (
    Criterion,
    JudgedZone,
    Marking,
    OutcomeRules,
    Place,
    Scope,
    SecondCause,
    Stop,
)
from academy.craft.judging.outcome import OUTCOME_VERSION, outcome
from academy.craft.judging.stored import stored

FOLDER = Path(__file__).parent
ASKED = frozenset({SecondCause.SAMPLE, SecondCause.REQUEST, SecondCause.APPEAL})
ZONES = (
    JudgedZone("top", "top", Decimal("0.157")),
    JudgedZone("occipital", "occipital", Decimal("0.357")),
    JudgedZone("nape", "nape", Decimal("0.095")),
)
CRITERIA = (
    Criterion("A1", "Gloves on", Scope.HEAD, must_pass=True),
    Criterion("A2", "Sectioning", Scope.ZONES, must_pass=True),
    Criterion("A3", "Tension", Scope.ZONES, weight=Decimal("2.5")),
    Criterion("A4", "Record", Scope.HEAD),
)


def marking(*levels: int, changed: dict[Place, int] | None = None, **rest: Any) -> Marking:
    """The levels of the four criteria, the same in each zone but where `changed`."""
    marks: dict[Place, int] = {}
    for criterion, level in zip(CRITERIA, levels, strict=True):
        zones = [zone.code for zone in ZONES] if criterion.scope is Scope.ZONES else [None]
        marks |= {(criterion.code, zone): level for zone in zones}
    left_out = rest.get("left_out", {})
    marks = {place: level for place, level in marks.items() if place[1] not in left_out}
    values = {"criteria": CRITERIA, "zones": ZONES, "rating": 4, **rest}
    return Marking(marks=marks | (changed or {}), **values)


MARKINGS = (
    marking(4, 4, 4, 4),
    marking(3, 3, 3, 3),
    marking(3, 3, 2, 3, rating=5),
    marking(3, 3, 2, 3, changed={("A4", None): 2}, rating=5),
    marking(3, 3, 2, 3, rating=2, rules=OutcomeRules(pass_line=Decimal(60))),
    marking(2, 3, 3, 3),
    marking(3, 3, 3, 3, changed={("A2", "nape"): 2, ("A3", "nape"): 1}, rating=1),
    marking(3, 3, 3, 3, changed={("A3", "top"): 0}, rules=OutcomeRules(weak_zone=0)),
    marking(4, 4, 4, 4, left_out={"nape": "hair too short"}),
    marking(4, 4, 4, 4, left_out={"nape": "hair too short.", "top": "out of time"}),
    marking(4, 4, 4, 4, left_out={"nape": "cut"}, rules=OutcomeRules(most_left_out=0)),
    marking(4, 4, 4, 4, minutes_used=75, minutes_allowed=60),
    marking(4, 4, 4, 4, minutes_used=72, minutes_allowed=60),
    marking(4, 4, 4, 4, rating=1, asked_for=ASKED),
    marking(3, 3, 2, 3, rating=2, blind_second=True),
    marking(1, 1, 1, 1, rating=1, stops=(Stop("no-gloves", "No gloves, after one reminder."),)),
    marking(3, 3, 3, 3, partial=True),
    marking(3, 3, 2, 3, partial=True, rating=5),
    marking(2, 3, 3, 2, partial=True, rating=1, minutes_used=80, minutes_allowed=60),
    marking(3, 3, 3, 3, partial=True, left_out={"top": "out of time"}),
)


def pinned_in(version: int) -> Path:
    return FOLDER / f"outcomes_{version}.json"


def main() -> None:
    values = [json.dumps(stored(one, outcome(one)), ensure_ascii=False) for one in MARKINGS]
    with pinned_in(OUTCOME_VERSION).open("x", encoding="utf-8") as file:
        file.write("[\n" + ",\n".join(values) + "\n]\n")


if __name__ == "__main__":
    main()
