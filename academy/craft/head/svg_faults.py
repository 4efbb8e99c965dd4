"""Faults as SVG: a dot on the exact place, a leader, and a ringed number outside the hair."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from academy.craft.head.outlines import outlines
from academy.craft.head.sheet import place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.craft.head.shape import Floats

SEEN_FROM = 0.1
DOT_MM = 2.6
SMALL_DOT_MM = 6.5
RING_MM = 9.5
RINGS_APART_MM = 2 * RING_MM + 3
RING_OFF_DOT_MM = RING_MM + DOT_MM + 2
LEADER_OFF_DOT_MM = DOT_MM + 2.5
NUMBER_DROP_MM = 3.6
LABEL_HALF_MM = 10.0

# What a place for a ring costs, in millimetres of longer leader.
_OVER_SKIN = 18.0
_OVER_WORDS = 12.0
_OVER_DOT = 60.0
_ACROSS_LEADER = 90.0
_FORBIDDEN = 1e4


@dataclass(frozen=True)
class Fault:
    """A fault at a place on the head; the number is the one in the list beside the drawing."""

    number: int
    azimuth_deg: float
    elevation_deg: float
    label: str
    # Whose sign it is where two marked one head: the second's is square, in dot and ring.
    sign: str = "first"


def fault_layer(view: str, faults: Sequence[Fault], *, small: bool = False) -> str:
    """The faults that a view sees, in the order given; `small` draws dots only."""
    seen: list[Fault] = []
    dots: list[tuple[float, float]] = []
    for fault in faults:
        u, v, facing = place(view, fault.azimuth_deg, fault.elevation_deg)
        if facing > SEEN_FROM:
            seen.append(fault)
            dots.append((u, -v))
    if not seen:
        return ""
    if small:
        circles = "".join(
            _dot(x, y, SMALL_DOT_MM, fault.sign) for fault, (x, y) in zip(seen, dots, strict=True)
        )
        return f'<g class="hd-fault">{circles}</g>'
    rings = _ring_spots(view, dots)
    return "".join(
        _drawn(fault, dot, ring) for fault, dot, ring in zip(seen, dots, rings, strict=True)
    )


def _drawn(fault: Fault, dot: tuple[float, float], ring: tuple[float, float]) -> str:
    (x, y), (a, b) = dot, ring
    reach = 1 - RING_MM / max(float(np.hypot(a - x, b - y)), RING_MM)
    return (
        f'<g class="hd-fault"><title>Fault {fault.number}: {escape(fault.label)}</title>'
        f'<path d="M{x:.1f} {y:.1f}L{x + reach * (a - x):.1f} {y + reach * (b - y):.1f}"/>'
        f"{_dot(x, y, DOT_MM, fault.sign)}"
        f"{_ring(a, b, fault.sign)}"
        f'<text x="{a:.1f}" y="{b + NUMBER_DROP_MM:.1f}">{fault.number}</text></g>'
    )


def _dot(x: float, y: float, radius: float, sign: str) -> str:
    if sign == "second":
        return f'<rect class="at" {_square(x, y, radius)}/>'
    return f'<circle class="at" cx="{x:.1f}" cy="{y:.1f}" r="{radius}"/>'


def _ring(x: float, y: float, sign: str) -> str:
    if sign == "second":
        return f"<rect {_square(x, y, RING_MM - 1)}/>"
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{RING_MM}"/>'


def _square(x: float, y: float, half: float) -> str:
    return f'x="{x - half:.1f}" y="{y - half:.1f}" width="{2 * half:.1f}" height="{2 * half:.1f}"'


def _ring_spots(view: str, dots: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """A place outside the hair for each ring: near its dot, off other rings, dots and leaders."""
    slots = outlines()[view].slots
    at = np.array([slot[:2] for slot in slots])
    skin = np.array([slot[2] for slot in slots], float)
    words = np.array(list(outlines()[view].labels.values()))
    every = np.array(dots)
    taken = np.zeros((0, 2))
    rings: list[tuple[float, float]] = []
    for i, dot in enumerate(dots):
        here = np.array(dot)
        others = np.delete(every, i, axis=0)
        cost = np.linalg.norm(at - here, axis=1) + _OVER_SKIN * skin
        cost += _OVER_DOT * (_off_line(here, at, others) < LEADER_OFF_DOT_MM).sum(1)
        cost += _OVER_WORDS * (_off_line(here, at, words) < LABEL_HALF_MM).sum(1)
        cost += _OVER_DOT * (_off_line(here, at, taken) < RING_MM + 1).sum(1)
        for other, ring in zip(dots, rings, strict=False):
            cost += _ACROSS_LEADER * _crosses(here, at, np.array(other), np.array(ring))
            away = _off_line(np.array(other), np.array(ring)[None], at).T[:, 0]
            cost += _OVER_DOT * (away < RING_MM + 1)
        cost += _FORBIDDEN * (_distances(at, every) < RING_OFF_DOT_MM).sum(1)
        cost += _FORBIDDEN * (_distances(at, taken) < RINGS_APART_MM).sum(1)
        best = at[int(cost.argmin())]
        taken = np.concatenate([taken, best[None]])
        rings.append((float(best[0]), float(best[1])))
    return rings


def _distances(one: Floats, two: Floats) -> Floats:
    return np.asarray(np.linalg.norm(one[:, None] - two[None], axis=2))


def _off_line(start: Floats, ends: Floats, points: Floats) -> Floats:
    """Distance (ends, points) of points from each line that runs from `start` to an end."""
    line = ends - start
    long = np.maximum((line**2).sum(1), 1e-9)
    t = np.clip((points - start) @ line.T / long, 0, 1).T[..., None]
    return np.asarray(np.linalg.norm(start + t * line[:, None] - points[None], axis=2))


def _crosses(start: Floats, ends: Floats, a: Floats, b: Floats) -> Floats:
    """Which lines from `start` to `ends` (n, 2) cross the line from a to b."""

    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        pq, pr = q - p, r - p
        return np.asarray(pq[..., 0] * pr[..., 1] - pq[..., 1] * pr[..., 0])

    apart = side(start, ends, a) * side(start, ends, b) < 0
    return np.asarray(apart & (side(a, b, start) * side(a, b, ends) < 0))
