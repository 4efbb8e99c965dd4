"""The solution as a drawing: what shows and what cancels it, on the trade's ring of twelve."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from academy.craft.colour.spaces import hex_from_lab
from academy.craft.colour.tones import STAGE_LOOKS, counter_look
from academy.craft.exercise.family import Picture
from academy.craft.exercise.strands import EDGE, GROUND, WIDTH, drawing, label
from academy.craft.formula.undertone import WHEEL, place_on_wheel

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.colour.spaces import Lab
    from academy.craft.exercise.families.neutralise_a_tone.plan import Toner

HEIGHT = 1000
_MIDDLE = (WIDTH // 2 - 60, HEIGHT // 2)  # the longest word stands on the right
_RADIUS, _WORDS_OFF = 300, 96
_DOT, _PLACE = 66, 20


def ring_of(drawn: Toner) -> Picture:
    """The stage filled with its look, the counter-tone with its paint, further ones ringed.

    Where more lift is needed no tone is marked but the stage.
    """
    stage = place_on_wheel(drawn.stage)
    counter = None if drawn.lift_first else drawn.tone
    also = () if drawn.lift_first else drawn.also
    parts = [_circle(_MIDDLE, _RADIUS, "none", 4)]
    if stage is not None and counter is not None:
        parts.append(_chord(stage, counter))
    for tone in WHEEL:
        look = _look(tone, drawn.stage) if tone == stage else None
        paint = counter_look(tone) if tone == counter else None
        parts += _tone(tone, look or paint, marked=tone in {stage, counter}, ringed=tone in also)
    words = _spoken(drawn)
    return Picture(drawing(HEIGHT, words, *parts), words)


def _look(tone: str, stage: str) -> Lab | None:
    """What the stage looks like: by its own word, otherwise by its place."""
    return STAGE_LOOKS.get(stage, STAGE_LOOKS.get(tone))


def _tone(tone: str, fill: Lab | None, *, marked: bool, ringed: bool) -> Iterator[str]:
    at = _at(tone, _RADIUS)
    if marked:
        yield _circle(at, _DOT, GROUND if fill is None else hex_from_lab(fill), 8)
    else:
        yield _circle(at, _PLACE, GROUND, 8 if ringed else 3)
        if ringed:
            yield _circle(at, _PLACE + 16, "none", 3)
    x, y = _at(tone, _RADIUS + _WORDS_OFF)
    across = x - _MIDDLE[0]
    anchor = "middle" if abs(across) < _PLACE else "start" if across > 0 else "end"
    yield label(x, y + 20, tone, anchor)


def _chord(one: str, other: str) -> str:
    (x, y), (u, v) = _at(one, _RADIUS), _at(other, _RADIUS)
    return f'<path d="M{x} {y}L{u} {v}" fill="none" stroke="{EDGE}" stroke-width="8"/>'


def _at(tone: str, radius: int) -> tuple[int, int]:
    """A place on the ring, red on top, clockwise."""
    turn = math.tau * WHEEL.index(tone) / len(WHEEL)
    x, y = _MIDDLE
    return round(x + radius * math.sin(turn)), round(y - radius * math.cos(turn))


def _circle(at: tuple[int, int], radius: int, fill: str, width: int) -> str:
    return (
        f'<circle cx="{at[0]}" cy="{at[1]}" r="{radius}" fill="{fill}" stroke="{EDGE}" '
        f'stroke-width="{width}"/>'
    )


def _spoken(drawn: Toner) -> str:
    shows = f"The ring of twelve tones, red on top. The {drawn.stage} shows"
    if drawn.lift_first:
        return f"{shows}; no tone is marked against it, since more lift comes first."
    also = f"; {' and '.join(drawn.also)} would do as well" if drawn.also else ""
    return f"{shows}; {drawn.tone} cancels it{also}."
