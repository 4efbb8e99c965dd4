"""The door to everything a page needs of exercises.

Drawing lives in ``drawing``, whole papers in ``papers``, marking in ``marking``, the dataclasses in
``question`` and a family's protocol in ``family``:

    question = draw("dilute-a-developer", Level.WORKING, seed, rules)
    marking = mark(question, {"stock": "30 g", "neutral": "50", "parts": "3:5"})
    marking.passed(Decimal(80))
"""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from academy.craft.exercise import marking
from academy.craft.exercise.drawing import (
    ExerciseError,
    draw,
    families,
    family_of,
    has_picture,
    is_diagnosable,
    made_from_a_module,
    pose,
    settled_anew,
)
from academy.craft.exercise.families import FAMILIES
from academy.craft.exercise.family import (
    Dice,
    Drawn,
    Family,
    Follow,
    Material,
    Picture,
    Pictured,
    Solved,
    Tolerances,
)
from academy.craft.exercise.marking import (
    FieldMarking,
    Marking,
    PaperTotal,
    Verdict,
    WorkedLine,
    paper_total,
)
from academy.craft.exercise.papers import PaperPart, PartError, draw_paper, seed_from
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
    from collections.abc import Mapping

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
    "Material",
    "Mistake",
    "PaperPart",
    "PaperTotal",
    "PartError",
    "Picture",
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
    "has_picture",
    "is_diagnosable",
    "made_from_a_module",
    "mark",
    "paper_total",
    "picture_of",
    "pose",
    "seed_from",
    "settled_anew",
    "solved_picture_of",
    "worked",
]


def mark(question: Question, answers: Mapping[str, str]) -> Marking:
    """Mark typed answers by field key; a missing key counts as left empty."""
    return marking.mark(question, answers, family_of(question.family, question.version))


def worked(question: Question, answers: Mapping[str, str] | None = None) -> tuple[WorkedLine, ...]:
    """The solution; with ``answers`` each line also on the apprentice's own earlier figures."""
    return marking.worked(question, answers or {}, family_of(question.family, question.version))


def picture_of(question: Question) -> Picture | None:
    """The drawing of a question, from its parameters; None where it has none."""
    family = family_of(question.family, question.version)
    if not has_picture(family):
        return None
    return cast("Pictured", family).picture(family.parameters(**question.parameters))


def solved_picture_of(question: Question) -> Picture | None:
    """The drawing of a question with the answer in its place; None where a drawing cannot hold it.

    It belongs to the solution: whoever still answers must not see it.
    """
    family = family_of(question.family, question.version)
    if not isinstance(family, Solved):
        return None
    return family.solved(family.parameters(**question.parameters))
