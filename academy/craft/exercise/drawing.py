"""Drawing a question from a seed, and settling one anew under other rules."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations, product
from typing import TYPE_CHECKING, Any, cast

from academy.craft.exercise.families import FAMILIES
from academy.craft.exercise.family import (
    Dice,
    Drawn,
    Family,
    MadeFrom,
    Material,
    P,
    Pictured,
    Tolerances,
    scalars_of,
)
from academy.craft.exercise.question import Field, Level, Mistake, Question

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from academy.craft.measure import Value
    from academy.craft.rules import Rules

MOST_TRIES = 1000


class ExerciseError(Exception):
    """A question that cannot be drawn or a family that does not exist, in a sentence."""


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
