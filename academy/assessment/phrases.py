"""Phrases for next steps, from the faults that a module knows and those marked on a head.

A phrase is a beginning: it goes into the box by a button and is never sent as it was offered,
for it says what is wrong with such heads and not what these hands do next (trade.md 5.6).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from academy.assessment.editions import edition_of
from academy.craft.head.zones import Zone
from academy.curriculum.reference import practice_faults

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from academy.assessment.models import Assessment, FaultMark

LONGEST: Final = 300
"""As long as the box for the next step takes."""

UNEDITED: Final = (
    "“{phrase}” stands as it was offered. Say what these hands do next, for example: "
    "crown panels at 4 mm, comb held flat."
)
_NOT_A_LETTER = re.compile(r"[^\w]+")


@dataclass(frozen=True)
class Phrase:
    """What is offered: `key` names its fault, `numbers` are the marks of it on this head."""

    key: str
    words: str
    numbers: tuple[int, ...] = ()


def phrases_for(assessment: Assessment) -> list[Phrase]:
    """Those of the faults marked on this head first, then the module's other faults.

    Reads the head's fault marks, which `for_scoring` and `for_result` bring.
    """
    marks: dict[str, list[FaultMark]] = {}
    faults = edition_of(assessment.module_version).faults
    keys = {fault.pk: f"own-{fault.position}" for fault in faults}
    for mark in assessment.fault_marks.all():
        key = f"common-{mark.common}" if mark.fault_id is None else keys[mark.fault_id]
        marks.setdefault(key, []).append(mark)
    own = [(keys[fault.pk], fault.fault, fault.cause) for fault in faults]
    common = [(f"common-{fault.id}", fault.word, "") for fault in practice_faults()]
    found = [_phrase(*row, marks.get(row[0], [])) for row in [*own, *common]]
    offered = [one for one in found if one.numbers or one.key.startswith("own-")]
    return sorted(offered, key=lambda one: (not one.numbers, one.numbers))


def begun_with(text: str, phrase: Phrase) -> str:
    """The box with the phrase in it, behind what stands there already."""
    if not text.strip():
        return phrase.words
    return f"{text.rstrip().rstrip(';')}; {phrase.words}"


def unedited(text: str, offered: Iterable[Phrase]) -> str:
    """The phrase that the text is made of without a word of one's own; empty where there is none.

    Capital letters, spaces and stops are no words of one's own; a box of several phrases one after
    the other is not either.
    """
    rest, first = f" {_plain(text)} ", ""
    for phrase in sorted(offered, key=lambda one: -len(one.words)):
        plain = f" {_plain(phrase.words)} "
        if plain in rest:
            first = first or phrase.words
            rest = rest.replace(plain, " ")
    return first if first and not rest.strip() else ""


def _phrase(key: str, fault: str, cause: str, marks: Sequence[FaultMark]) -> Phrase:
    zones = list(dict.fromkeys(Zone(mark.zone).words for mark in marks))
    where = f" ({', '.join(zones)})" if zones else ""
    words = f"Work against {_small(fault)}{where}"
    if cause:
        words = f"{words}: {_small(cause).rstrip('.')}"
    return Phrase(key, words[:LONGEST], tuple(mark.number for mark in marks))


def _small(text: str) -> str:
    """With a small first letter, unless it begins with an abbreviation."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def _plain(text: str) -> str:
    return _NOT_A_LETTER.sub(" ", text.casefold()).strip()
