"""The solution of a depth read by eye: how far each swatch lies from the hair, in CIEDE2000."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.colour.difference import ciede2000
from academy.craft.colour.swatches import DEPTHS, swatch
from academy.craft.exercise.family import Picture
from academy.craft.exercise.strands import EDGE, GROUND, drawing, label, path

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from academy.craft.colour.spaces import Lab

_LEFT, _EACH = 40, 152
_TITLE, _HAIR, _SWATCH, _LINE = 96, 170, 190, 76


def swatch_distances(
    looks: Sequence[tuple[str, Lab]], right: int, *, light_first: bool = False
) -> Picture:
    """Each look over the ten swatches, with its distance from each under it.

    The swatch of the right depth is framed. ``looks`` are named; swatches run from dark to light,
    or the other way.
    """
    depths = tuple(reversed(DEPTHS)) if light_first else tuple(DEPTHS)
    high = _TITLE + _HAIR + _SWATCH + 2 * _LINE + 20
    parts: list[str] = []
    for place, (words, look) in enumerate(looks):
        parts += _block(place * high, f"{words}: how far off each swatch is", look, depths)
        parts.append(_framed(place * high + _TITLE + _HAIR, depths.index(right)))
    words = " ".join(_spoken(name, look, depths) for name, look in looks)
    return Picture(drawing(high * len(looks), words, *parts), words)


def _block(top: int, title: str, look: Lab, depths: Iterable[int]) -> Iterator[str]:
    width = len(DEPTHS) * _EACH
    yield label(_LEFT, top + 68, title, "start")
    yield path(look, f"M{_LEFT} {top + _TITLE}h{width}v{_HAIR}h{-width}z")
    below = top + _TITLE + _HAIR
    for place, depth in enumerate(depths):
        left = _LEFT + place * _EACH
        yield path(swatch(depth), f"M{left} {below}h{_EACH}v{_SWATCH}h{-_EACH}z")
        middle, foot = left + _EACH // 2, below + _SWATCH
        yield label(middle, foot + _LINE - 12, str(depth))
        yield label(middle, foot + 2 * _LINE - 12, _apart(look, depth))


def _framed(top: int, place: int) -> str:
    """A dark frame with a light one inside it, to be seen on any depth."""
    left = _LEFT + place * _EACH
    return "".join(
        f'<path d="M{left + off} {top + off}h{_EACH - 2 * off}v{_SWATCH - 2 * off}'
        f'h{2 * off - _EACH}z" fill="none" stroke="{ink}" stroke-width="10"/>'
        for off, ink in ((5, EDGE), (15, GROUND))
    )


def _apart(look: Lab, depth: int) -> str:
    return f"{ciede2000(look, swatch(depth)):.1f}"


def _spoken(name: str, look: Lab, depths: Iterable[int]) -> str:
    apart = ", ".join(f"depth {depth} {_apart(look, depth)}" for depth in depths)
    return f"{name}, and how far each swatch lies from it in CIEDE2000: {apart}."
