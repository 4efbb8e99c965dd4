"""White hair by eye: what is asked, which slips are known, and that the picture holds the key."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

import pytest

from academy.craft.exercise.engine import (
    Drawn,
    Level,
    Question,
    Verdict,
    draw,
    mark,
    picture_of,
    pose,
    settled_anew,
)
from academy.craft.exercise.families.eye_white_share import EyeWhiteShare, Tress
from academy.craft.rules import Rules, standard_rules
from tests.craft.exercise.eye_pictures import drawn, is_fit_for_a_page, per_cent, strands

D = Decimal
KEY = "eye-white-share"
RULES = Rules(standard_rules())
MOST_BYTES = {Level.FIRST: 12_000, Level.WORKING: 13_000, Level.EXAM: 40_000}
WHITE_FROM = 80  # L of the darkest white strand; natural hair of depth 7 lies under 53
SEEDS = [
    pytest.param(range(300), id="300"),
    pytest.param(range(300, 10_000), id="10000", marks=pytest.mark.deep),
]


def posed(strands: int, white: int, in_half: int = 0, level: Level = Level.WORKING) -> Question:
    tress = Tress(str(level), 7, 4, strands, white, in_half, RULES.tolerance("eye_share").plain)
    question = pose(EyeWhiteShare(), Drawn(tress), level, RULES)
    assert question is not None
    return question


def test_nineteen_white_strands_of_fifty_are_thirty_eight_per_cent() -> None:
    question = posed(50, 19, level=Level.FIRST)
    assert question.key == {"share": 38}
    assert [(field.key, field.unit) for field in question.fields] == [("share", "%")]
    assert mark(question, {"share": "30"}).of("share").verdict is Verdict.RIGHT
    assert mark(question, {"share": "48"}).of("share").verdict is Verdict.RIGHT
    assert mark(question, {"share": "49"}).of("share").verdict is Verdict.WRONG


def test_whoever_counts_the_dark_strands_is_told() -> None:
    marked = mark(posed(50, 19), {"share": "60 %"}).of("share")
    assert (marked.verdict, marked.mistake) == (Verdict.SLIP, "counted-dark")


def test_near_half_the_dark_share_cannot_be_told_from_a_reading_a_little_off() -> None:
    assert posed(100, 45).mistakes == ()
    assert [slip.id for slip in posed(100, 44).mistakes] == ["counted-dark"]


def test_whoever_judges_only_the_whiter_half_is_told() -> None:
    question = posed(200, 60, 50, Level.EXAM)
    assert {slip.id: slip.value for slip in question.mistakes} == {
        "whiter-half": 50,
        "counted-dark": 70,
    }
    assert mark(question, {"share": "47"}).of("share").mistake == "whiter-half"


def test_a_wider_tolerance_of_the_house_leaves_out_slips_that_it_hides() -> None:
    question = posed(100, 38)
    wide = settled_anew(question, Rules(standard_rules(), {"tolerance.eye_share": D(25)}, None, 2))
    assert wide is not None
    assert wide.mistakes == ()
    assert mark(wide, {"share": "60"}).of("share").verdict is Verdict.RIGHT


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("seeds", SEEDS)
def test_the_picture_holds_exactly_the_share_of_the_key(level: Level, seeds: Iterable[int]) -> None:
    for seed in seeds:
        question = draw(KEY, level, seed, RULES)
        white = [colour.L > WHITE_FROM for _, _, colour in strands(drawn(question))]
        assert per_cent(sum(white), len(white)) == Fraction(str(question.key["share"]))
        assert per_cent(sum(white), len(white)).denominator == 1
        if level is Level.EXAM:
            half = len(white) // 2
            whiter = max(sum(white[:half]), sum(white[half:]))
            values = {slip.id: Fraction(str(slip.value)) for slip in question.mistakes}
            assert values.get("whiter-half", per_cent(whiter, half)) == per_cent(whiter, half)


@pytest.mark.parametrize("level", list(Level))
def test_white_strands_are_as_wide_as_natural_ones(level: Level) -> None:
    for seed in range(60):
        found = strands(drawn(draw(KEY, level, seed, RULES)))
        means = []
        for is_white in (True, False):
            widths = [wide for _, wide, colour in found if (colour.L > WHITE_FROM) is is_white]
            means.append(sum(widths) / len(widths))
        assert means[0] == pytest.approx(means[1], abs=1.6)
        assert len({wide for _, wide, _ in found}) >= 3


@pytest.mark.parametrize("level", list(Level))
def test_a_grey_copy_still_tells_white_from_natural(level: Level) -> None:
    for seed in range(60):
        lightness = [colour.L for *_, colour in strands(drawn(draw(KEY, level, seed, RULES)))]
        white = [light for light in lightness if light > WHITE_FROM]
        natural = [light for light in lightness if light <= WHITE_FROM]
        assert min(white) - max(natural) > 30


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_their_ranges(level: Level) -> None:
    for seed in range(300):
        question = draw(KEY, level, seed, RULES)
        numbers = question.parameters
        assert 10 <= D(str(question.key["share"])) <= 90
        assert 2 <= int(str(numbers["depth"])) <= 7
        assert 1 <= int(str(numbers["picture"])) <= 99_999
        assert 40 <= int(str(numbers["strands"])) <= 250


@pytest.mark.parametrize("level", list(Level))
def test_pictures_are_fit_for_a_page_and_do_not_tell(level: Level) -> None:
    for seed in range(40):
        question = draw(KEY, level, seed, RULES)
        picture = drawn(question)
        is_fit_for_a_page(picture, MOST_BYTES[level])
        assert picture_of(Question.from_json(question.to_json())) == picture
    told = {drawn(posed(200, white, 10, level)).words for white in (20, 30, 110)}
    assert len(told) == 1
