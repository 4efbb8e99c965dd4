"""Reading choices: one of them, several, or all of them in an order."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from academy.craft.measure.kinds import NONE, Choice, Kind, Order, Several, Value

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

NONE_WORDS = {"none", "no", "nothing", "never", "none of these", "n/a", "na", "-", "–", "—"}
_LONGEST_QUOTED = 60
_LISTED = re.compile(r"[,;]")
# How people part letters when they put them in a row: "B > A > C", "B, then A", "BAC".
_BETWEEN_LETTERS = re.compile(r"\bthen\b|[^a-z]")

# The value, or None, and the sentence that says how it reads or what is expected.
Chosen = tuple[Value | None, str]


def _one(plain: str, offered: Sequence[Choice]) -> Chosen:
    choice = _meant(plain, offered)
    if choice is not None:
        return choice.key, f"Reads as {choice.label.lower()}"
    return None, f"Choose one of these: {_listed(offered)}."


def _several(plain: str, offered: Sequence[Choice]) -> Chosen:
    if plain.rstrip(".") in NONE_WORDS:
        return Several(()), "Reads as none of these"
    found = _all_meant(plain, offered)
    if isinstance(found, str):
        if _letters(found) == NONE:
            return None, "Choose some of these or none of them, not both."
        return None, f"“{found}” is not among them. Choose from these: {_listed(offered)}."
    words = ", ".join(choice.label.lower() for choice in found)
    return Several.of(*(choice.key for choice in found)), f"Reads as {words}"


def _order(plain: str, offered: Sequence[Choice]) -> Chosen:
    found = _lettered(plain, offered) or _all_meant(plain, offered)
    letters = ", ".join(choice.key.upper() for choice in offered)
    if isinstance(found, str):
        return None, f"“{found}” is not among them. Give each of {letters} one place."
    keys = tuple(choice.key for choice in found)
    twice = next((choice for choice in found if keys.count(choice.key) > 1), None)
    if twice is not None:
        return None, f"{twice.key.upper()} stands twice. Each has one place."
    missing = [choice.key.upper() for choice in offered if choice.key not in keys]
    if missing:
        verb = "is" if len(missing) == 1 else "are"
        return None, f"{', '.join(missing)} {verb} missing. Each has one place."
    return Order(keys), f"Reads as {', '.join(key.upper() for key in keys)}"


CHOOSERS: dict[Kind, Callable[[str, Sequence[Choice]], Chosen]] = {
    Kind.CHOICE: _one,
    Kind.YES_NO: _one,
    Kind.SEVERAL: _several,
    Kind.ORDER: _order,
}


def _meant(plain: str, offered: Iterable[Choice]) -> Choice | None:
    wanted = _letters(plain)
    for choice in offered:
        words = (choice.key, choice.label, *choice.also)
        if wanted and wanted in {_letters(word) for word in words}:
            return choice
    return None


def _lettered(plain: str, offered: Sequence[Choice]) -> list[Choice]:
    """The choices whose letters stand in a row, however they are parted; else none."""
    by_letter = {choice.key: choice for choice in offered}
    letters = _BETWEEN_LETTERS.sub("", plain)
    return [by_letter[letter] for letter in letters] if set(letters) <= by_letter.keys() else []


def _all_meant(plain: str, offered: Sequence[Choice]) -> list[Choice] | str:
    """The choices that a list names, in its order; the word that is none of them."""
    listed = [part.strip() for part in _LISTED.split(plain) if part.strip()]
    found = [_meant(part, offered) for part in listed]
    if None in found:
        listed = [part.strip() for part in _LISTED.split(plain.replace(" and ", ";"))]
        listed = [part for part in listed if part]
        found = [_meant(part, offered) for part in listed]
    if None in found:
        listed = plain.replace(",", " ").split()
        found = [_meant(part, offered) for part in listed]
    for part, choice in zip(listed, found, strict=True):
        if choice is None:
            return part[:_LONGEST_QUOTED]
    return [choice for choice in found if choice is not None]


def _listed(offered: Sequence[Choice]) -> str:
    words = [choice.label.lower() for choice in offered]
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _letters(words: str) -> str:
    return re.sub(r"[^a-z0-9]", "", words.casefold())
