"""Rows of ``shared/checks/trade.csv`` on tone and lift through the families that ask for them."""

from __future__ import annotations

import csv
import re
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.exercise.engine import Level, Question, Verdict, mark, pose
from academy.craft.exercise.families.lightener_and_lift_choice import Head, LightenerAndLiftChoice
from academy.craft.exercise.families.lightener_and_lift_choice.plan import settled as plan_of
from academy.craft.exercise.families.neutralise_a_tone import NeutraliseATone
from academy.craft.exercise.families.neutralise_a_tone.plan import settled as toner_of
from academy.craft.exercise.families.pre_pigment_plan import PrePigmentPlan, Wish
from academy.craft.exercise.families.pre_pigment_plan.plan import settled as filling_of
from academy.craft.formula.strength import percent_of_volume
from academy.craft.formula.undertone import HowStrong
from academy.craft.rules import Rules, standard_rules

D = Decimal
RULES = Rules(standard_rules())
TABLE = Path(__file__).parents[2] / "shared" / "checks" / "trade.csv"
with TABLE.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


def whole(text: str) -> list[int]:
    return [int(found) for found in re.findall(r"\d+", text)]


def reached(depth: int) -> Question:
    thrown = (Level.WORKING, depth, depth, HowStrong.CLEAR, D(40))
    question = pose(NeutraliseATone(), toner_of(thrown, RULES), Level.WORKING, RULES)
    assert question is not None
    return question


def at_the_scalp(present: int, lift: int, *, tinted: bool = False) -> Question:
    head = Head(tinted, present, present + lift, "full", 0, "medium")
    drawn = plan_of(head, Level.WORKING, RULES)
    assert drawn is not None
    question = pose(LightenerAndLiftChoice(), drawn, Level.WORKING, RULES)
    assert question is not None
    return question


@pytest.mark.parametrize(("row_id", "depth"), [("C54", 9), ("C55", 5)])
def test_an_exposed_tone_is_neutralised_by_its_opposite(row_id: str, depth: int) -> None:
    question = reached(depth)
    assert ROWS[row_id]["inputs"] == f"exposed {question.parameters['stage']}"
    assert question.key["tone"] == ROWS[row_id]["expected"]


@pytest.mark.parametrize("row_id", ["C56", "C57"])
def test_stage_and_counter_tone_of_a_depth_are_those_of_the_chart(row_id: str) -> None:
    question = reached(*whole(ROWS[row_id]["inputs"]))
    stage, counter_tone = ROWS[row_id]["expected"].split("; counter-tone ")
    assert question.parameters["stage"] == stage
    assert question.key["tone"] == counter_tone


@pytest.mark.parametrize("row_id", ["C58", "C60"])
def test_the_strength_of_a_row_is_asked_for_up_to_the_lift_it_gives(row_id: str) -> None:
    (volume,) = whole(ROWS[row_id]["inputs"])
    most = whole(ROWS[row_id]["expected"])[-1]
    percent = percent_of_volume(D(volume))
    assert at_the_scalp(6, most).key["strength"] == percent
    # One depth more takes another product or strength.
    assert at_the_scalp(5, most + 1).key["strength"] != percent


def test_c61_permanent_colour_on_tinted_hair_is_the_named_slip() -> None:
    assert ROWS["C61"]["expected"].startswith("no lift of the tinted part")
    marked = mark(at_the_scalp(6, 2, tinted=True), {"product": "permanent colour"})
    assert marked.of("product").mistake == "colour-lifts-colour"


def test_c62_the_plan_fills_with_the_warmth_of_the_row() -> None:
    present, target = whole(ROWS["C62"]["inputs"])
    drawn = filling_of(Wish("working", "plain", present, target, D(40), D(40)), RULES)
    assert drawn is not None
    question = pose(PrePigmentPlan(), drawn, Level.WORKING, RULES)
    assert question is not None
    needed, warmth = ROWS["C62"]["expected"].split(", ")
    assert needed == "pre-pigment needed"
    marked = mark(question, {"needed": "yes", "warmth": warmth})
    assert marked.of("needed").verdict is Verdict.RIGHT
    assert marked.of("warmth").verdict is Verdict.RIGHT
