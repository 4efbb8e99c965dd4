"""Corners by eye: what is asked, which slips are known, how far off counts, and its sheet."""

from __future__ import annotations

import re
from decimal import Decimal

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
    solved_picture_of,
)
from academy.craft.exercise.families.eye_corners import EyeCorners, Placing
from academy.craft.exercise.spots import read_spot, spot_at, spot_shown
from academy.craft.head.corners import corners
from academy.craft.head.sheet import SHEET_HEAD, SHEET_ZONES, place
from academy.craft.measure import Kind, Spot, shown_as
from academy.craft.rules import Rules, standard_rules
from tests.craft.exercise.eye_pictures import drawn, is_fit_for_a_page

D = Decimal
KEY = "eye-corners"
RULES = Rules(standard_rules())


def posed(pattern: str, asked: str, second: str = "", level: Level = Level.WORKING) -> Question:
    allowed = RULES.tolerance("eye_spot").plain
    placing = Placing(str(level), pattern, second, asked, allowed)
    question = pose(EyeCorners(), Drawn(placing), level, RULES)
    assert question is not None
    return question


DIAMOND = posed("diamond", "diamond_front diamond_left diamond_back")


def tap(view: str, pattern: str, key: str, right: float = 0.0, up: float = 0.0) -> str:
    corner = corners(pattern, SHEET_ZONES)[key]
    u, v, _ = place(view, corner.azimuth_deg, corner.elevation_deg)
    return f"{view} {u + right:.1f} {v + up:.1f}"


def test_a_corner_within_eight_millimetres_is_right() -> None:
    near = mark(DIAMOND, {"diamond_left": tap("top", "diamond", "diamond_left", right=5)})
    assert near.of("diamond_left").verdict is Verdict.RIGHT
    far = mark(DIAMOND, {"diamond_left": tap("top", "diamond", "diamond_left", right=9)})
    assert far.of("diamond_left").verdict is Verdict.WRONG


def test_the_same_corner_may_be_placed_in_any_view_that_sees_it() -> None:
    for view in ("top", "left"):
        marked = mark(DIAMOND, {"diamond_left": tap(view, "diamond", "diamond_left")})
        assert marked.of("diamond_left").verdict is Verdict.RIGHT


def test_left_and_right_exchanged_are_told() -> None:
    marked = mark(DIAMOND, {"diamond_left": tap("top", "diamond", "diamond_right")})
    assert marked.of("diamond_left").mistake == "other-side"
    assert "wearer’s" in marked.of("diamond_left").sentence


def test_front_and_back_exchanged_are_told() -> None:
    answers = {
        "diamond_front": tap("top", "diamond", "diamond_back"),
        "diamond_back": tap("top", "diamond", "diamond_front"),
    }
    marked = mark(DIAMOND, answers)
    assert [marked.of(key).mistake for key in answers] == ["other-end"] * 2


def test_a_diamond_made_too_large_is_told() -> None:
    answers = {
        "diamond_front": tap("front", "quarters", "front"),
        "diamond_left": tap("left", "horseshoe", "ridge_left"),
    }
    marked = mark(DIAMOND, answers)
    assert [marked.of(key).mistake for key in answers] == ["on-the-hairline", "at-the-ridge"]


def test_front_and_nape_are_not_both_called_skin() -> None:
    assert spot_shown(spot_at(0, 33)) == "skin below the fringe, on the centre line"
    assert spot_shown(spot_at(180, -48)) == "skin below the nape, on the centre line"
    assert spot_shown(spot_at(0, -90)) == "skin below the fringe, on the centre line"


def test_what_only_a_tape_finds_is_always_given() -> None:
    given = {row.label: row.value for row in DIAMOND.givens}
    assert given["Front corner"] == "on the centre line, 29 mm from the front hairline"
    assert (
        given["Side corner, left"] == "on the parting from ear to ear, 50 mm from the centre line"
    )
    assert posed("horseshoe", "temple_left back ridge_left").givens == ()
    told = posed("horseshoe", "temple_left back", level=Level.FIRST).givens
    assert [row.label for row in told] == ["Temple corner, left", "Back of the crown"]


def test_at_the_exam_two_patterns_name_their_corners() -> None:
    question = posed("quarters", "crossing nape strip_front_left", "t_section", Level.EXAM)
    assert [field.label for field in question.fields] == [
        "Quarters: crossing on top",
        "Quarters: nape",
        "T-section: front of the strip, left",
    ]


@pytest.mark.parametrize("level", list(Level))
def test_every_key_is_the_corner_of_its_pattern(level: Level) -> None:
    """Against `head.corners`; those are held to the sections' outlines by tests of their own."""
    for seed in range(300):
        question = draw(KEY, level, seed, RULES)
        patterns = [question.parameters["pattern"], question.parameters["second"]]
        known = {
            key: corner
            for pattern in filter(None, patterns)
            for key, corner in corners(str(pattern), SHEET_ZONES).items()
        }
        assert len(question.fields) == {"first": 2, "working": 3, "exam": 4}[level]
        for field in question.fields:
            right, corner = question.key[field.key], known[field.key]
            assert field.kind is Kind.SPOT
            assert isinstance(right, Spot)
            there = SHEET_HEAD.surface(corner.azimuth_deg, corner.elevation_deg)
            assert [float(mm) for mm in right.at_mm] == pytest.approx(there.tolist(), abs=0.1)


@pytest.mark.parametrize("level", list(Level))
def test_the_sheet_shows_each_corner_squarely_and_does_not_tell(level: Level) -> None:
    for seed in range(60):
        question = draw(KEY, level, seed, RULES)
        picture = drawn(question)
        is_fit_for_a_page(picture, 15_000)
        assert picture_of(Question.from_json(question.to_json())) == picture
        assert "hd-corner" not in picture.svg
        assert ("hd-bare" in picture.svg) is (level is not Level.FIRST)
        views = re.findall(r'data-view="(\w+)"', picture.svg)
        for field in question.fields:
            right = question.key[field.key]
            assert isinstance(right, Spot)
            angles = float(right.azimuth), float(right.elevation)
            assert max(place(view, *angles)[2] for view in views) >= 0.5


def test_the_solved_sheet_marks_every_corner_with_its_number() -> None:
    solved = solved_picture_of(DIAMOND)
    assert solved is not None
    is_fit_for_a_page(solved, 15_000)
    assert "1: Front corner." in solved.words
    assert [f">{number}</text>" in solved.svg for number in (1, 2, 3)] == [True] * 3


@pytest.mark.parametrize("azimuth", [-180, -96, 0, 38, 97])
def test_a_spot_reads_as_a_solution_prints_it(azimuth: int) -> None:
    printed = shown_as(Kind.SPOT, spot_at(azimuth, -4))
    assert read_spot(printed).value == spot_at(azimuth, -4)
