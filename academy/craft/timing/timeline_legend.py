"""What the shapes of a timeline mean, drawn and in words under it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.timing import timeline_marks as mark
from academy.craft.timing.telling import told_minutes

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.timing.head_clock import HeadClock

LINE = 18.0
HIGH = 2 * LINE
_ACROSS = (0.0, 190.0, 400.0)


def legend(head: HeadClock, top: float) -> Iterator[str]:
    """What the shapes mean, in two lines."""
    samples = []
    least = told_minutes(head.settings.foil_least)
    if head.settings.roots:
        samples.append(("apply", "root colour goes on"))
    samples += [
        ("closed", "foil closed"),
        ("least", f"least time, foils {least}"),
        ("stay", "until the joint rinse" if head.possible else "may come out"),
        ("look", "look"),
        ("ceiling", "ceiling: out by then"),
    ]
    for place, (shape, words) in enumerate(samples):
        x, y = _ACROSS[place % 3], top + 12 + LINE * (place // 3)
        yield _sample(shape, x, y - 4)
        yield mark.text("tl-key", x + 30, y, words)


def _sample(shape: str, x: float, middle: float) -> str:
    top = middle - mark.BAR / 2
    if shape == "look":
        return mark.look(x + 12, middle)
    if shape == "ceiling":
        return mark.ceiling(x + 12, middle)
    if shape == "closed":
        return mark.path("tl-closed", mark.upright(x + 12, top - 3, top + mark.BAR))
    box = mark.rect(f"tl-{shape}", x, top, 24, mark.BAR)
    if shape == "apply":
        box += mark.path("tl-hatch", mark.hatching(x, top, 24, mark.BAR))
    return box
