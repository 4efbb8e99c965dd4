"""Depth by eye: what is asked, which slips are known, and that the strands' mean is the depth."""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from statistics import fmean

import pytest

from academy.craft.colour.difference import ciede2000
from academy.craft.colour.spaces import lab_from_hex
from academy.craft.colour.swatches import DEPTHS, nearest_depth, swatch
from academy.craft.colour.white import WHITE_HAIR, blended
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
    solved_picture_of,
)
from academy.craft.exercise.families.eye_depth import EyeDepth, Reading
from academy.craft.rules import Rules, standard_rules
from tests.craft.exercise.eye_pictures import SHAPE, drawn, is_fit_for_a_page, strands

D = Decimal
KEY = "eye-depth"
RULES = Rules(standard_rules())
HALF_A_STEP = 0.45  # L: a display colour has 256 steps for each ink
SEEDS = [
    pytest.param(range(300), id="300"),
    pytest.param(range(300, 10_000), id="10000", marks=pytest.mark.deep),
]


def posed(depth: int, white: int = 0, rules: Rules = RULES) -> Question:
    level = Level.EXAM if white else Level.WORKING
    allowed = rules.tolerance("eye_depth").plain
    reading = Reading(str(level), 7, depth, white, light_first=False, allowed=allowed)
    question = pose(EyeDepth(), Drawn(reading), level, rules)
    assert question is not None
    return question


def test_a_depth_is_read_exactly() -> None:
    question = posed(6)
    assert question.key == {"depth": 6}
    assert mark(question, {"depth": "6"}).of("depth").verdict is Verdict.RIGHT
    lighter = mark(question, {"depth": "7"}).of("depth")
    assert (lighter.verdict, lighter.mistake) == (Verdict.SLIP, "one-lighter")


def test_counting_from_the_light_end_is_told_where_it_is_no_neighbour() -> None:
    assert {slip.id: slip.value for slip in posed(3).mistakes} == {
        "one-lighter": 4,
        "one-darker": 2,
        "other-numbering": 8,
    }
    assert {slip.id for slip in posed(6).mistakes} == {"one-lighter", "one-darker"}


def test_the_ends_have_one_neighbour() -> None:
    assert {slip.id for slip in posed(1).mistakes} == {"one-lighter", "other-numbering"}
    assert {slip.id for slip in posed(10).mistakes} == {"one-darker", "other-numbering"}


def test_white_hair_lifts_the_look_and_whoever_reads_that_is_told() -> None:
    """Computed: a quarter of white in depth 4, mixed as light, has L 46.6: nearest is depth 7."""
    question = posed(4, 25)
    assert {slip.id: slip.value for slip in question.mistakes}["white-lifts"] == 7
    assert mark(question, {"depth": "7"}).of("depth").mistake == "white-lifts"


def test_where_the_house_takes_the_next_depth_too_neighbours_are_no_slips() -> None:
    house = Rules(standard_rules(), {"tolerance.eye_depth": D(1)}, None, 2)
    question = posed(3, rules=house)
    assert {slip.id for slip in question.mistakes} == {"other-numbering"}
    assert mark(question, {"depth": "4"}).of("depth").verdict is Verdict.RIGHT
    assert draw(KEY, Level.FIRST, 1, house).mistakes


@pytest.mark.parametrize("level", list(Level))
@pytest.mark.parametrize("seeds", SEEDS)
def test_the_mean_of_the_natural_strands_is_the_swatch(level: Level, seeds: Iterable[int]) -> None:
    for seed in seeds:
        question = draw(KEY, level, seed, RULES)
        depth = int(D(str(question.key["depth"])))
        shapes = strands(drawn(question))
        white = int(str(question.parameters["white"]))
        found = [colour for *_, colour in shapes]
        natural = [c for c in found if abs(c.L - swatch(depth).L) <= 3]
        assert len(natural) * 100 == len(found) * (100 - white)
        assert len({wide for _, wide, _ in shapes}) == 1
        mean = fmean(colour.L for colour in natural)
        assert mean == pytest.approx(swatch(depth).L, abs=HALF_A_STEP)
        assert nearest_depth(mean) == depth
        look = blended(swatch(depth), white / 100).L
        values = {slip.id: slip.value for slip in question.mistakes}
        assert values.get("white-lifts", nearest_depth(look)) == nearest_depth(look)


@pytest.mark.parametrize("level", list(Level))
def test_all_ten_swatches_hang_below_in_their_order(level: Level) -> None:
    orders = set()
    for seed in range(40):
        picture = drawn(draw(KEY, level, seed, RULES))
        squares = [
            (int(left), colour) for colour, left, _, data in SHAPE.findall(picture.svg)[-10:]
        ]
        lightness = [lab_from_hex(colour).L for _, colour in sorted(squares)]
        assert len(squares) == len(DEPTHS)
        orders.add(lightness == sorted(lightness))
    assert orders == ({True, False} if level is Level.EXAM else {True})


@pytest.mark.parametrize("level", list(Level))
def test_numbers_stay_in_their_ranges(level: Level) -> None:
    for seed in range(300):
        numbers = draw(KEY, level, seed, RULES).parameters
        assert 1 <= int(str(numbers["depth"])) <= (6 if level is Level.EXAM else 10)
        assert int(str(numbers["white"])) in ({20, 25, 30, 35, 40} if level is Level.EXAM else {0})


@pytest.mark.parametrize("level", list(Level))
def test_pictures_are_fit_for_a_page_and_do_not_tell(level: Level) -> None:
    words = set()
    for seed in range(40):
        question = draw(KEY, level, seed, RULES)
        is_fit_for_a_page(drawn(question), 12_500)
        assert picture_of(Question.from_json(question.to_json())) == drawn(question)
        words.add(drawn(question).words)
    assert len(words) == (2 if level is Level.EXAM else 1)


def test_white_strands_look_like_white_hair() -> None:
    found = [colour.L for *_, colour in strands(drawn(posed(2, 40)))]
    assert sum(abs(light - WHITE_HAIR.L) < 1 for light in found) * 100 == 40 * len(found)


@pytest.mark.parametrize("level", list(Level))
def test_every_natural_strand_lies_nearer_its_own_swatch_than_any_other(level: Level) -> None:
    for seed in range(60):
        question = draw(KEY, level, seed, RULES)
        depth = int(D(str(question.key["depth"])))
        for *_, colour in strands(drawn(question)):
            if abs(colour.L - swatch(depth).L) <= 3:
                apart = {other: ciede2000(colour, swatch(other)) for other in DEPTHS}
                assert min(apart, key=apart.__getitem__) == depth


def solved(question: Question) -> Picture:
    picture = solved_picture_of(question)
    assert picture is not None
    return picture


def test_the_solution_shows_how_far_each_swatch_lies_from_the_hair() -> None:
    """CIEDE2000 of the declared swatches, computed with the reference of the published pairs."""
    picture = solved(posed(5))
    is_fit_for_a_page(picture, 12_500)
    assert picture.words == (
        "Natural hair, and how far each swatch lies from it in CIEDE2000: depth 1 18.0, depth 2 "
        "13.2, depth 3 8.9, depth 4 4.4, depth 5 0.0, depth 6 4.8, depth 7 10.1, depth 8 16.1, "
        "depth 9 22.4, depth 10 28.2."
    )
    printed = re.findall(r">([\d.]+)</text>", picture.svg)
    assert printed[:4] == ["1", "18.0", "2", "13.2"]
    assert printed[8:10] == ["5", "0.0"]


def test_beside_white_hair_the_solution_shows_the_whole_as_well() -> None:
    picture = solved(posed(4, 25))
    is_fit_for_a_page(picture, 12_500)
    natural, whole = picture.words.split("With its white")
    apart = {int(depth): D(found) for depth, found in re.findall(r"depth (\d+) ([\d.]+\d)", whole)}
    assert "depth 4 0.0" in natural
    assert min(apart, key=apart.__getitem__) == 7
    assert "With its white: how far off each swatch is" in picture.svg


def test_the_swatches_of_a_solution_run_as_those_of_the_question() -> None:
    for seed in range(40):
        question = draw(KEY, Level.EXAM, seed, RULES)
        words = solved(question).words
        light_first = bool(question.parameters["light_first"])
        assert (words.index("depth 10 ") < words.index("depth 1 ")) == light_first
