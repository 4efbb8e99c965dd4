"""How what was practised reads."""

from __future__ import annotations


def counted_words(count: int, unit: str, tag: str = "") -> str:
    """For example "1 head", "2 set-ups", "3 heads, resistant"."""
    word = unit.removesuffix("s") if count == 1 else unit
    return f"{count} {word}, {tag}" if tag else f"{count} {word}"


def kind_words(unit: str, tag: str = "") -> str:
    """For example "Heads" or "Heads, resistant"."""
    word = unit[:1].upper() + unit[1:]
    return f"{word}, {tag}" if tag else word


def time_words(minutes: int) -> str:
    """For example "45 min" or "5 h 20 min"."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
