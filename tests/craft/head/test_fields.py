"""Families of lines: each lies where its level says, and its spread is the way to the next."""

from __future__ import annotations

import numpy as np
import pytest

from academy.craft.head.drawn import Direction, DrawnSection
from academy.craft.head.drawn_laying import drawn_field
from academy.craft.head.fields import EarToEar, Field, Horizontal, Planes
from academy.craft.head.shape import FEMALE_MEAN, MALE_MEAN, Floats

HEAD = FEMALE_MEAN
MIDDLE = (0.0, -0.6, 0.8)
FIELDS: dict[str, Field] = {
    "level": Horizontal(HEAD),
    "level, left half": Horizontal.left(HEAD),
    "ear to ear": EarToEar(HEAD),
    "ear to ear, all round": EarToEar(HEAD, all_round=True),
    "front to back": Planes(HEAD, (1.0, 0.0, 0.0), MIDDLE, (0.0, -1.0, 0.0)),
    "slanting": Planes(HEAD, (0.48, 0.6, 0.64), MIDDLE, (-1.0, 0.0, 0.0)),
}


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
def test_lines_lie_on_the_head(field: Field) -> None:
    low, high = field.limits()
    lines = field.lines(np.linspace(low, high, 25))
    assert np.abs(HEAD.level(lines) - 1).max() < 1e-6


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
def test_every_point_of_a_line_has_its_level(field: Field) -> None:
    """Away from the axis through the ears, on which every level meets."""
    low, high = field.limits()
    levels = np.linspace(low, high, 12)[1:-1]
    found = field.level(field.lines(levels)[:, 15:-15])
    assert np.abs(found - levels[:, None]).max() < 1e-5


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
def test_the_spread_is_the_way_to_the_next_line(field: Field) -> None:
    """Against the straight distance from a point to a line a little further on."""
    low, high = field.limits()
    levels = np.linspace(low, high, 14)[2:-2]
    step = 1e-3 * (high - low)
    here, there = field.lines(levels), field.lines(levels + step)
    for line, after in zip(here, there, strict=True):
        inner = line[10:-10:10]
        way = distance_to_line(inner, after)
        assert way == pytest.approx(field.spread(inner) * step, rel=0.02, abs=1e-3)


def distance_to_line(p: Floats, line: Floats) -> Floats:
    start, piece = line[:-1], np.diff(line, axis=0)
    along = np.einsum("ijk,jk->ij", p[:, None] - start, piece) / (piece**2).sum(-1)
    near = start + np.clip(along, 0, 1)[..., None] * piece
    return np.asarray(np.linalg.norm(p[:, None] - near, axis=2).min(1))


@pytest.mark.parametrize("normal", [(1.0, 0.0, 0.0), (0.48, 0.6, 0.64), (-0.48, 0.6, -0.64)])
def test_planes_lie_at_their_levels_and_between_the_outermost(
    normal: tuple[float, float, float],
) -> None:
    field = Planes(MALE_MEAN, normal, MIDDLE, (-1.0, 0.0, 0.0))
    low, high = field.limits()
    levels = np.linspace(low, high, 9)
    height = field.lines(levels) @ np.array(normal)
    assert np.abs(height - levels[:, None]).max() < 1e-6
    azimuth, elevation = np.meshgrid(np.arange(-180, 180, 2), np.arange(-90, 91, 2))
    reached = MALE_MEAN.surface(azimuth, elevation) @ np.array(normal)
    assert reached.min() >= low - 0.05
    assert reached.max() <= high + 0.05


def test_half_rings_are_the_halves_of_whole_ones() -> None:
    levels = np.array([-20.0, 0.0, 50.0])
    whole = Horizontal(HEAD).lines(levels)
    left, right = Horizontal.left(HEAD).lines(levels), Horizontal.right(HEAD).lines(levels)
    assert np.allclose(np.concatenate([left, right[:, 1:]], 1), whole)
    assert np.allclose(left * [-1, 1, 1], right[:, ::-1])


CROWN = ((150.0, 30.0), (-150.0, 30.0), (-160.0, 60.0), (160.0, 60.0))
RIGHT_SIDE = ((-80.0, 10.0), (-110.0, 10.0), (-110.0, 35.0), (-80.0, 35.0))
TOP = ((30.0, 70.0), (150.0, 70.0), (-150.0, 70.0), (-30.0, 70.0))


@pytest.mark.parametrize(
    ("corners", "right", "up"),
    [
        (CROWN, (-1, 0, 0), (0, 0, 1)),
        (RIGHT_SIDE, (0, 1, 0), (0, 0, 1)),
        (TOP, (-1, 0, 0), (0, 1, 0)),
    ],
    ids=["from behind", "from the right", "from above"],
)
def test_diagonals_rise_and_fall_to_the_right_as_one_looks_at_them(
    corners: tuple[tuple[float, float], ...],
    right: tuple[float, float, float],
    up: tuple[float, float, float],
) -> None:
    """Right and up are those of the drawn views."""
    for direction, sign in ((Direction.RISING, 1), (Direction.FALLING, -1)):
        drawn = DrawnSection(corners, direction=direction)
        field = drawn_field(drawn, HEAD)
        assert isinstance(field, Planes)
        place = HEAD.surface(*middle_of(drawn))
        line = field.lines(np.array([float(place @ np.array(field.normal))]))[0]
        near = np.argsort(np.linalg.norm(line - place, axis=1))[:5]
        piece = line[near.max()] - line[near.min()]
        across, rise = piece @ np.array(right), piece @ np.array(up)
        assert rise / across == pytest.approx(sign, abs=0.35)


def middle_of(drawn: DrawnSection) -> tuple[float, float]:
    x, y, z = drawn.middle
    return float(np.degrees(np.arctan2(x, y))), float(np.degrees(np.arcsin(z)))
