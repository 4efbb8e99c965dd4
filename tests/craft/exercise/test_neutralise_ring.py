"""The solution of neutralising a tone as a drawing, read back from its shapes."""

from __future__ import annotations

import math
import re

import pytest

from academy.craft.colour.spaces import hex_from_lab, lab_from_hex
from academy.craft.colour.tones import PAINT_HUES, STAGE_LOOKS
from academy.craft.exercise.engine import Level, Picture, Question, draw, solved_picture_of
from academy.craft.exercise.strands import WIDTH
from academy.craft.formula.undertone import WHEEL, place_on_wheel
from academy.craft.rules import Rules, standard_rules
from tests.craft.exercise.eye_pictures import is_fit_for_a_page
from tests.craft.exercise.test_neutralise_a_tone import posed

DOT = re.compile(r'<circle cx="(\d+)" cy="(\d+)" r="66" fill="([^"]+)"')
WORD = re.compile(r'<text class="eye-label" x="(\d+)" y="(\d+)" text-anchor="(\w+)"[^>]*>([^<]+)<')


def solved(question: Question) -> Picture:
    picture = solved_picture_of(question)
    assert picture is not None
    return picture


def filled(picture: Picture) -> dict[str, str]:
    """The fill of each large dot by the tone whose word is nearest."""
    words = [((int(x), int(y)), str(name)) for x, y, _, name in WORD.findall(picture.svg)]

    def nearest(x: int, y: int) -> str:
        return min(words, key=lambda word: math.dist(word[0], (x, y)))[1]

    return {nearest(int(x), int(y)): fill for x, y, fill in DOT.findall(picture.svg)}


def test_the_stage_has_its_look_and_the_counter_tone_its_paint() -> None:
    picture = solved(posed(9, 8))
    found = filled(picture)
    assert found.keys() == {"yellow", "violet"}
    assert found["yellow"] == hex_from_lab(STAGE_LOOKS["yellow"])
    assert abs(lab_from_hex(found["violet"]).hue - PAINT_HUES["violet"]) < 1
    assert picture.svg.count("<path") == 1  # the line between them
    assert picture.words.endswith("The yellow shows; violet cancels it.")


def test_pale_yellow_lies_at_yellow_and_looks_paler() -> None:
    assert filled(solved(posed(10, 9)))["yellow"] == hex_from_lab(STAGE_LOOKS["pale yellow"])


def test_what_else_earns_the_marks_is_ringed() -> None:
    picture = solved(posed(7, 6))
    assert picture.words.endswith("blue-violet cancels it; blue and violet would do as well.")
    assert picture.svg.count('r="36"') == 2
    assert solved(posed(9, 8)).svg.count('r="36"') == 0


def test_where_more_lift_comes_first_no_tone_is_marked_against_the_stage() -> None:
    picture = solved(posed(6, 8, level=Level.EXAM))
    assert filled(picture).keys() == {"orange"}
    assert "<path" not in picture.svg
    assert picture.words.endswith("since more lift comes first.")


@pytest.mark.parametrize("level", list(Level))
def test_each_solution_names_the_whole_ring_within_the_picture(level: Level) -> None:
    rules = Rules(standard_rules())
    for seed in range(60):
        question = draw("neutralise-a-tone", level, seed, rules)
        picture = solved(question)
        is_fit_for_a_page(picture, 5_000)
        assert [name for *_, name in WORD.findall(picture.svg)] == list(WHEEL)
        for x, _, anchor, name in WORD.findall(picture.svg):
            # 35 a letter is wider than our type sets it at this size.
            reach = {"start": 35, "middle": 18, "end": 0}[anchor] * len(name)
            assert int(x) + reach <= WIDTH
        stage = str(question.parameters["stage"])
        assert place_on_wheel(stage) in filled(picture)
