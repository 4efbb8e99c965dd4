"""Drawing a question from a seed, and the door to everything a page needs of exercises.

The dataclasses live in ``question``, a family's protocol in ``family``, marking in ``marking``:

    question = draw("dilute-a-developer", Level.WORKING, seed, rules)
    marking = mark(question, {"stock": "30 g", "neutral": "50", "parts": "3:5"})
    marking.passed(Decimal(80))
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from hashlib import sha256
from itertools import combinations, product
from typing import TYPE_CHECKING, Any, cast

from academy.craft.exercise import marking
from academy.craft.exercise.families import FAMILIES
from academy.craft.exercise.family import (
    Dice,
    Drawn,
    Family,
    Follow,
    MadeFrom,
    Material,
    P,
    Picture,
    Pictured,
    Solved,
    Tolerances,
    scalars_of,
)
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
from academy.craft.rules import RuleError

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from academy.craft.measure import Value
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


MOST_TRIES = 1000
MOST_REDRAWS = 60


class ExerciseError(Exception):
    """A question that cannot be drawn or a family that does not exist, in a sentence."""


class PartError(ExerciseError):
    """A part of a paper that cannot be drawn; ``part`` counts from 1."""

    def __init__(self, message: str, part: int) -> None:
        super().__init__(message)
        self.part = part


@cache
def families() -> tuple[Family[Any], ...]:
    """The newest version of every family, in teaching order."""
    newest: dict[str, Family[Any]] = {}
    for (key, version), family in FAMILIES.items():
        if key not in newest or newest[key].version < version:
            newest[key] = family
    return tuple(newest.values())


@cache
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
    slip: str = "",
    material: Material | None = None,
) -> Question:
    """One diagnosable question, the same for the same seed, rules and ``avoid``.

    ``avoid`` holds identities already seen. Where all of many throws were seen, the one of them
    that stands first in ``avoid`` is taken, so pass a list with the oldest first. With ``slip``
    only questions in which that slip would show are taken. ``material`` is for the families that
    draw from a module's text. ``ExerciseError`` where the rules leave nothing to ask.
    """
    family = _with(family_of(family_key), material)
    dice = Dice(f"{family.key}/{family.version}/{level}/{seed}")
    seen: dict[str, Drawn[Any]] = {}

    def question_on(drawn: Drawn[Any]) -> Question | None:
        question = pose(family, drawn, level, rules, seed)
        return question if question is not None and _shows(question, slip) else None

    for _ in range(MOST_TRIES):
        drawn = family.draw(dice, level, rules)
        if drawn is None:
            continue
        identity = _identity(family, drawn)
        if identity in avoid:
            seen.setdefault(identity, drawn)
        elif (question := question_on(drawn)) is not None:
            return question
    for identity in avoid:
        if identity in seen and (question := question_on(seen[identity])) is not None:
            return question
    raise ExerciseError(_nothing_to_ask(family, level, slip))


def _nothing_to_ask(family: Family[Any], level: Level, slip: str) -> str:
    what = f"\u201c{family.title}\u201d at level {level}"
    if slip:
        return f"No question of {what} shows this slip under these rules."
    if made_from_a_module(family):
        return (
            f"No question of {what} can be made from this module: it has too few steps, or the "
            "same step stands in it twice. Choose another module."
        )
    return (
        f"No question of {what} can be drawn under these rules: the slips cannot be told apart, "
        "or there is nothing to ask. Look at the house rules that it uses."
    )


def _with(family: Family[Any], material: Material | None) -> Family[Any]:
    if not made_from_a_module(family):
        return family
    if material is None:
        raise ExerciseError(
            f"\u201c{family.title}\u201d is drawn from a module. Choose one for it."
        )
    return cast("MadeFrom", family).made_from(material)


def _shows(question: Question, slip: str) -> bool:
    return not slip or any(mistake.id == slip for mistake in question.mistakes)


def made_from_a_module(family: Family[Any]) -> bool:
    """Whether a family draws from a module's own text."""
    return _is_made(type(family))


@cache
def _is_made(kind: type[Family[Any]]) -> bool:
    """Kept, because a check against a protocol looks at every name of it each time."""
    return issubclass(kind, MadeFrom)


def has_picture(family: Family[Any]) -> bool:
    """Whether the questions of a family have a drawing."""
    return isinstance(family, Pictured)


def pose(
    family: Family[P],
    drawn: Drawn[P],
    level: Level,
    rules: Rules,
    seed: int = 0,
    *,
    diagnosable: bool = True,
) -> Question | None:
    """The question on these parameters, or None where its slips cannot be told apart.

    A slip that equals the right value because of the numbers is left out. With ``diagnosable``
    off the question stands, and the slips that cannot be told from a right answer are left out.
    """
    parameters = drawn.parameters
    fields = family.fields(parameters, Tolerances.of(rules))
    key = family.key_of(parameters)
    asked = {field.key for field in fields}
    mistakes = tuple(
        mistake
        for mistake in family.mistakes(parameters)
        if mistake.field in asked and mistake.value != key[mistake.field]
    )
    if not is_diagnosable(fields, key, mistakes):
        if diagnosable:
            return None
        by_key = {field.key: field for field in fields}
        mistakes = tuple(
            mistake
            for mistake in mistakes
            if not by_key[mistake.field].earns(key[mistake.field], mistake.value)
        )
    return Question(
        family=family.key,
        version=family.version,
        level=level,
        seed=seed,
        identity=_identity(family, drawn),
        title=family.title,
        parameters=scalars_of(parameters),
        text=family.text(parameters),
        givens=family.givens(parameters),
        fields=fields,
        key=key,
        mistakes=mistakes,
        solution=family.lines(parameters, {}),
        decided=drawn.decided,
        rule_set=rules.rule_set,
    )


def is_diagnosable(
    fields: Sequence[Field], key: Mapping[str, Value], mistakes: Sequence[Mistake]
) -> bool:
    """Whether no slip lies within tolerance of a right value or of another slip."""
    for field in fields:
        slips = [mistake.value for mistake in mistakes if mistake.field == field.key]
        pairs = [*combinations(slips, 2), *product((key[field.key], *field.also), slips)]
        covers = field.tolerance.covers
        if any(covers(one, other) or covers(other, one) for one, other in pairs):
            return False
    return True


def _identity(family: Family[P], drawn: Drawn[P]) -> str:
    return f"{family.key}/{family.identity(drawn.parameters)}"


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


def settled_anew(question: Question, rules: Rules) -> Question | None:
    """The same numbers under other rules: key, tolerances, slips and solution come anew.

    The seed, the identity and the level stay those of the question; None where the rules leave
    nothing to ask. ``rules`` carry the label that the question was drawn under.
    """
    family = family_of(question.family, question.version)
    drawn = family.under(family.parameters(**question.parameters), rules)
    if drawn is None:
        return None
    posed = pose(family, drawn, question.level, rules, question.seed, diagnosable=False)
    return None if posed is None else replace(posed, identity=question.identity)


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
