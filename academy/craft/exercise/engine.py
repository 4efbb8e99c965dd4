"""Drawing a question from a seed, and the door to everything a page needs of exercises.

The dataclasses live in ``question``, a family's protocol in ``family``, marking in ``marking``:

    question = draw("dilute-a-developer", Level.WORKING, seed, rules)
    marking = mark(question, {"stock": "30 g", "neutral": "50", "parts": "3:5"})
    marking.passed(Decimal(80))
"""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from academy.craft.exercise import marking
from academy.craft.exercise.families import FAMILIES
from academy.craft.exercise.family import Dice, Drawn, Family, Follow, Tolerances
from academy.craft.exercise.marking import (
    FieldMarking,
    Marking,
    PaperTotal,
    Verdict,
    WorkedLine,
    paper_total,
)
from academy.craft.exercise.question import (
    Field,
    Given,
    Level,
    Line,
    Mistake,
    Question,
    Safety,
    Scalar,
)

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from academy.craft.rules import Label, Rules

__all__ = [
    "FAMILIES",
    "Dice",
    "Drawn",
    "ExerciseError",
    "Family",
    "Field",
    "FieldMarking",
    "Follow",
    "Given",
    "Level",
    "Line",
    "Marking",
    "Mistake",
    "PaperPart",
    "PaperTotal",
    "Question",
    "Safety",
    "Scalar",
    "Tolerances",
    "Verdict",
    "WorkedLine",
    "draw",
    "draw_paper",
    "families",
    "family_of",
    "mark",
    "paper_total",
    "seed_from",
    "worked",
]

MOST_TRIES = 2000


class ExerciseError(Exception):
    """A question that cannot be drawn or a family that does not exist, in a sentence."""


def families() -> tuple[Family[Any], ...]:
    """The newest version of every family, in teaching order."""
    newest: dict[str, Family[Any]] = {}
    for (key, version), family in FAMILIES.items():
        if key not in newest or newest[key].version < version:
            newest[key] = family
    return tuple(newest.values())


def family_of(key: str, version: int | None = None) -> Family[Any]:
    """One family, the newest unless a version is given; ``ExerciseError`` where there is none."""
    found = [f for f in families() if f.key == key] if version is None else []
    if version is not None and (key, version) in FAMILIES:
        found = [FAMILIES[key, version]]
    if not found:
        edition = "" if version is None else f", version {version}"
        raise ExerciseError(f"There is no exercise family {key}{edition}.")
    return found[0]


def draw(
    family_key: str,
    level: Level,
    seed: int,
    rules: Rules,
    *,
    avoid: Collection[str] = frozenset(),
) -> Question:
    """One diagnosable question, the same for the same seed, rules and ``avoid``.

    ``avoid`` holds identities already seen. Where every draw was seen, the one that stands first
    in ``avoid`` is taken, so pass a list with the oldest first. ``ExerciseError`` where the rules
    leave nothing to ask.
    """
    raise NotImplementedError


def mark(question: Question, answers: Mapping[str, str]) -> Marking:
    """Mark typed answers by field key; a missing key counts as left empty."""
    return marking.mark(question, answers, family_of(question.family, question.version))


def worked(question: Question, answers: Mapping[str, str] | None = None) -> tuple[WorkedLine, ...]:
    """The solution; with ``answers`` each line also on the apprentice's own earlier figures."""
    return marking.worked(question, answers or {}, family_of(question.family, question.version))


@dataclass(frozen=True, slots=True)
class PaperPart:
    """So many questions of one family and level, with the label they are drawn under, if any."""

    family: str
    level: Level
    count: int
    label: Label | None = None


def draw_paper(
    parts: Sequence[PaperPart],
    seed: int,
    rules: Rules,
    per_person: int | None = None,
    *,
    avoid: Collection[str] = frozenset(),
) -> list[Question]:
    """The questions of one paper, none twice; the same seed gives the same paper.

    ``per_person`` is the apprentice's stable number (their id) where each gets their own numbers.
    """
    raise NotImplementedError


def seed_from(*parts: object) -> int:
    """A stable seed below 2**63 from the parts, alike on every machine."""
    digest = sha256("/".join(str(part) for part in parts).encode()).digest()
    return int.from_bytes(digest[:8], "big") >> 1
