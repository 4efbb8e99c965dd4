"""The questions of a paper: so many of each part, none twice, from one seed."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from academy.craft.exercise.drawing import ExerciseError, draw, family_of
from academy.craft.rules import RuleError

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from academy.craft.exercise.family import Material
    from academy.craft.exercise.question import Level, Question
    from academy.craft.rules import Label, Rules

MOST_REDRAWS = 60


class PartError(ExerciseError):
    """A part of a paper that cannot be drawn; ``part`` counts from 1."""

    def __init__(self, message: str, part: int) -> None:
        super().__init__(message)
        self.part = part


@dataclass(frozen=True, slots=True)
class PaperPart:
    """So many questions of one family and level.

    ``label`` is the product label they are drawn under, ``material`` the module's text that an
    order exercise is made from, ``slip`` the one that each of them would show.
    """

    family: str
    level: Level
    count: int
    label: Label | None = None
    material: Material | None = None
    slip: str = ""


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
    ``avoid`` is passed on to ``draw``. ``PartError`` says which part cannot be drawn, and why.
    """
    who = "all" if per_person is None else per_person
    questions: list[Question] = []
    for position, part in enumerate(parts):
        try:
            under = rules if part.label is None else rules.with_label(part.label)
            for number in range(part.count):
                base = (seed, who, position, number)
                questions.append(_unused(part, base, under, questions, avoid))
        except (ExerciseError, RuleError) as error:
            raise PartError(str(error), position + 1) from error
    return questions


def _unused(
    part: PaperPart,
    base: tuple[object, ...],
    rules: Rules,
    before: Sequence[Question],
    avoid: Collection[str],
) -> Question:
    """The first question along a chain of seeds that the paper does not hold yet.

    Where the apprentice has seen all there are, the oldest that this paper does not hold.
    """
    used = {question.identity for question in before}
    for step in range(MOST_REDRAWS):
        question = _draw_part(part, seed_from(*base, step), rules, avoid)
        if question.identity not in used:
            return question
        if question.identity in avoid:
            break
    oldest_first = [*(identity for identity in avoid if identity not in used), *used]
    question = _draw_part(part, seed_from(*base), rules, oldest_first)
    if question.identity not in used:
        return question
    title = family_of(part.family).title
    raise ExerciseError(
        f"There are not {part.count} different questions of \u201c{title}\u201d at level "
        f"{part.level}. Ask for fewer."
    )


def _draw_part(part: PaperPart, seed: int, rules: Rules, avoid: Collection[str]) -> Question:
    return draw(
        part.family,
        part.level,
        seed,
        rules,
        avoid=avoid,
        slip=part.slip,
        material=part.material,
    )


def seed_from(*parts: object) -> int:
    """A stable seed below 2**63 from the parts, alike on every machine."""
    digest = sha256("/".join(str(part) for part in parts).encode()).digest()
    return int.from_bytes(digest[:8], "big") >> 1
