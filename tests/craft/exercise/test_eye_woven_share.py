"""Woven share by eye: what is asked, which slips are known, and that the drawn widths add up."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    Level,
    Picture,
    Question,
    Verdict,
    draw,
    mark,
    picture_of,
    pose,
)
from academy.craft.exercise.families.eye_woven_share import EyeWovenShare, Weave
from academy.craft.rules import Rules, standard_rules
from tests.craft.exercise.eye_pictures import SHAPE, WIDE, drawn, is_fit_for_a_page, per_cent

D = Decimal
KEY = "eye-woven-share"
RULES = Rules(standard_rules())
SEEDS = [
    pytest.param(range(300), id="300"),
    pytest.param(range(300, 10_000), id="10000", marks=pytest.mark.deep),
]


def pieces(picture: Picture) -> list[tuple[int, int, bool]]:
    """Left edge, width at the parting, and whether it is up on the comb, from left to right."""
    found = []
    for _, left, _, data in SHAPE.findall(picture.svg):
        wide = WIDE.match(data)
        assert wide is not None
        found.append((int(left), int(wide[1]), f"h{wide[1]}v-" in data))
    return sorted(found)


def posed(taken_tenths: int, stitches: int = 9, gaps: int = 9) -> Question:
    allowed = RULES.tolerance("eye_share").plain
    weave = Weave("working", 7, 5, 50, stitches, gaps, taken_tenths, allowed)
    question = pose(EyeWovenShare(), Drawn(weave), Level.WORKING, RULES)
    assert question is not None
    return question


def test_sixteen_and_a_half_of_fifty_mm_are_a_third_woven() -> None:
    question = posed(165)
    assert question.key == {"share": 33}
    assert mark(question, {"share": "33.3"}).of("share").verdict is Verdict.RIGHT
    assert {slip.id: slip.value for slip in question.mistakes} == {
        "left-out": 67,
        "half-and-half": 50,
    }


def test_the_share_left_out_and_the_count_of_stitches_are_told() -> None:
    question = posed(165)
    assert mark(question, {"share": "70"}).of("share").mistake == "left-out"
    assert mark(question, {"share": "50"}).of("share").mistake == "half-and-half"


def test_a_weave_near_half_knows_no_slip() -> None:
    assert posed(225).mistakes == ()


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("seeds", SEEDS)
def test_the_drawn_widths_give_exactly_the_share_of_the_key(
    level: Level, seeds: Iterable[int]
) -> None:
    for seed in seeds:
        question = draw(KEY, level, seed, RULES)
        found = pieces(drawn(question))
        whole = sum(wide for _, wide, _ in found)
        taken = sum(wide for _, wide, up in found if up)
        assert per_cent(taken, whole) == Fraction(str(question.key["share"]))
        assert per_cent(taken, whole).denominator == 1
        for (left, wide, up), (then, _, up_then) in pairwise(found):
            assert left + wide == then
            assert up is not up_then
        counted = per_cent(sum(up for *_, up in found), len(found))
        for slip in question.mistakes:
            value = Fraction(str(slip.value))
            expected = counted if slip.id == "half-and-half" else 100 - per_cent(taken, whole)
            assert value == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("level", "most"), [(Level.FIRST, 8), (Level.WORKING, 33)])
def test_pieces_are_as_uneven_as_their_level_says(level: Level, most: int) -> None:
    for seed in range(60):
        found = pieces(drawn(draw(KEY, level, seed, RULES)))
        for taken in (True, False):
            widths = [wide for _, wide, up in found if up is taken]
            mean = sum(widths) / len(widths)
            # A tenth of a millimetre is at most three units wide.
            assert max(widths) <= mean * (100 + most) / (100 - most) + 3
            assert min(widths) >= mean * (100 - most) / (100 + most) - 3


def test_stitches_of_the_exam_are_fine_and_clearly_uneven() -> None:
    spread = []
    for seed in range(60):
        widths = [w for _, w, up in pieces(drawn(draw(KEY, Level.EXAM, seed, RULES))) if up]
        assert 13 <= len(widths) <= 18
        spread.append(max(widths) / min(widths))
    assert min(spread) > 1.5


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_their_ranges(level: Level) -> None:
    for seed in range(300):
        question = draw(KEY, level, seed, RULES)
        numbers = question.parameters
        assert 20 <= D(str(question.key["share"])) <= 80
        assert int(str(numbers["length_mm"])) in {45, 50, 60, 70, 75}
        assert abs(int(str(numbers["stitches"])) - int(str(numbers["gaps"]))) <= 1
        assert 4 <= int(str(numbers["depth"])) <= 8


@pytest.mark.parametrize("level", list(Level))
def test_pictures_are_fit_for_a_page_and_do_not_tell(level: Level) -> None:
    for seed in range(40):
        question = draw(KEY, level, seed, RULES)
        is_fit_for_a_page(drawn(question), 12_000)
        assert picture_of(Question.from_json(question.to_json())) == drawn(question)
    assert len({drawn(posed(taken)).words for taken in (120, 250, 400)}) == 1
