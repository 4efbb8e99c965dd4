"""Rows of ``shared/checks/trade.csv`` about the person in the chair and about heads as evidence.

C67 and C68 also go through the family that asks for them. Not computed by this project: C65 (hairs
on an area: no figure here counts hairs), C73 (a count of "4 of 5 kinds": a practice target counts
each kind by itself) and C74 (grades: an outcome here is competent or not yet, never a merit).
"""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.exercise.engine import Level, draw
from academy.craft.exercise.families.legal_and_safety_gate import Card, LegalAndSafetyGate
from academy.craft.formula.gate import Against, Appointment, Gate, hours_between
from academy.craft.measure import Several, of_day_time
from academy.craft.rules import Rules, standard_rules
from academy.curriculum.content import PracticeUnit, TargetLine
from academy.practice.targets import Done, progress

D = Decimal
RULES = Rules(standard_rules())
TABLE = Path(__file__).parents[2] / "shared" / "checks" / "trade.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


def figures(text: str) -> list[Decimal]:
    return [D(found) for found in re.findall(r"\d+(?:\.\d+)?", text)]


def moments(row_id: str) -> tuple[Decimal, Decimal]:
    """The test and the service of a row, in minutes after Monday 00:00."""
    tested, service = re.findall(r"\w+day \d\d:\d\d", ROWS[row_id]["inputs"])
    return of_day_time(tested), of_day_time(service)


@pytest.mark.parametrize(("row_id", "allowed"), [("C67", True), ("C68", False)])
def test_a_skin_test_needs_its_hours(row_id: str, allowed: bool) -> None:
    row = ROWS[row_id]
    assert row["expected"].startswith("allowed (48 h)" if allowed else "refused under the 48 h")
    tested, service = moments(row_id)
    hours = hours_between(tested, service)
    assert [hours] == [D(h) for h in re.findall(r"\((\d+) h\)", row["inputs"] + row["expected"])]
    against = Appointment(D(30), hours, clear=True).against(Gate.of(RULES).bounds)
    assert against == (frozenset() if allowed else {Against.HOURS})

    family = LegalAndSafetyGate()
    drawn = Card(**draw(family.key, Level.FIRST, 1, RULES).parameters)  # type: ignore[arg-type]
    card = replace(
        drawn,
        age=30,
        tested=int(tested),
        service=int(service),
        days=None,
        reading="clear",
        same_product=True,
        asked="no to all",
    )
    key = family.key_of(card)
    assert key["go_ahead"] == ("yes" if allowed else "no")
    assert key["reasons"] == (Several.of() if allowed else Several.of("hours"))


def test_c66_good_hair_stretches_by_half_and_less_is_accepted() -> None:
    (dry,) = figures(ROWS["C66"]["inputs"])
    stretched, percent = figures(ROWS["C66"]["expected"])
    least, most = figures(ROWS["C66"]["tolerance"])
    rule = RULES.defaults.rule("elasticity")
    assert dry * RULES.number("elasticity") == stretched == dry * (1 + percent / 100)
    assert rule.minimum is not None
    assert rule.maximum is not None
    assert (dry * rule.minimum, dry * rule.maximum) == (least, most)


def test_c69_twenty_parts_of_peroxide_to_one_of_ammonia_solution() -> None:
    millilitres, percent, _ = figures(ROWS["C69"]["inputs"])[:3]
    ammonia, parts, one, minutes = figures(ROWS["C69"]["expected"])
    test = {
        part: RULES.number("incompatibility_test", part=part)
        for part in ("strength", "parts_peroxide", "minutes")
    }
    assert test == {"strength": percent, "parts_peroxide": parts / one, "minutes": minutes}
    assert millilitres / test["parts_peroxide"] == ammonia


def test_c72_eight_heads_of_four_kinds_do_not_fill_nine_with_three_of_one() -> None:
    done = [
        Done(PracticeUnit.HEADS, int(count), kind.replace(" ", "-"))
        for kind, count in re.findall(r"([a-z]+(?: lift)?) (\d)", ROWS["C72"]["inputs"])
    ]
    assert [row.count for row in done] == [2, 2, 2, 2]
    needed, total = map(int, figures(ROWS["C72"]["expected"]))
    target = [
        TargetLine(total, PracticeUnit.HEADS),
        *(TargetLine(2, PracticeUnit.HEADS, kind) for kind in ("demi", "semi", "permanent")),
        TargetLine(needed, PracticeUnit.HEADS, "high-lift"),
    ]
    assert ROWS["C72"]["expected"].startswith("not yet: high lift")
    found = progress(target, done)
    assert not found.met
    assert [line.line.tag for line in found.lines if not line.met] == ["", "high-lift"]
    one_more = progress(target, [*done, Done(PracticeUnit.HEADS, 1, "high-lift")])
    assert one_more.met
