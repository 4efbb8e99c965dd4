"""How what was practised reads."""

from __future__ import annotations

from academy.curriculum.content import tag_words


def counted_words(count: int, unit: str, tag: str = "") -> str:
    """For example "1 head", "2 set-ups", "3 heads, half head"."""
    word = unit.removesuffix("s") if count == 1 else unit
    return f"{count} {word}, {tag_words(tag)}" if tag else f"{count} {word}"


def kind_words(unit: str, tag: str = "") -> str:
    """For example "Heads" or "Heads, resistant"."""
    word = unit[:1].upper() + unit[1:]
    return f"{word}, {tag_words(tag)}" if tag else word


def far_words(done: int, asked: int) -> str:
    """How far a count is: "3 of 5", "5 of 5, reached", "5 of 5, reached and 1 beyond"."""
    if done < asked:
        return f"{done} of {asked}"
    beyond = f" and {done - asked} beyond" if done > asked else ""
    return f"{asked} of {asked}, reached{beyond}"


def time_words(minutes: int) -> str:
    """For example "45 min" or "5 h 20 min"."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
