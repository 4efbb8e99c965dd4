"""A paper as an educator wants it, and what keeps it from being set."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.craft.exercise.engine import ExerciseError, Level, family_of, made_from_a_module
from academy.curriculum.models import ModuleVersion
from academy.exercises import rules
from academy.exercises.errors import PaperError
from academy.exercises.models import Paper

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from academy.exercises.drawing import PartWanted
    from academy.people.models import Academy, Cohort, Person

MOST_PARTS = 30
MOST_QUESTIONS = 40
MOST_MINUTES = 240
HIGHEST_SEED = 2**63 - 1


@dataclass(frozen=True)
class Wanted:
    """A paper as an educator wants it."""

    cohort: Cohort
    title: str
    parts: Sequence[PartWanted]
    seed: int
    same_numbers: bool = False
    kind: str = Paper.Kind.PRACTICE
    due_on: date | None = None
    minutes: int | None = None
    pass_share: int = 80
    module_version: ModuleVersion | None = None


def check_wanted(academy: Academy, by: Person, wanted: Wanted) -> None:
    """`PaperError`, with the field at fault, where a paper cannot be set like this. No draw."""
    require_educator(academy, by)
    if wanted.cohort.academy_id != academy.pk or wanted.cohort.ended():
        raise PaperError("Choose a cohort of your academy that has not ended.", field="cohort")
    if not wanted.title.strip():
        raise PaperError("There is no title. Say what the paper trains.", field="title")
    if len(wanted.title) > 120:
        raise PaperError("Shorten the title to 120 characters.", field="title")
    if wanted.due_on and wanted.due_on < timezone.localdate():
        raise PaperError("This day is over. Choose today or a later day.", field="due_on")
    _check_minutes(wanted)
    if not 1 <= wanted.pass_share <= 100:
        raise PaperError("Give a share from 1 to 100 %, for example 75.", field="pass_share")
    if not 0 <= wanted.seed <= HIGHEST_SEED:
        raise PaperError("A seed is a whole number, for example 5190-7734.", field="seed")
    version = wanted.module_version
    if version and not _usable(academy, version):
        raise PaperError("Choose a published module of your academy.", field="module_version")
    _check_parts(academy, wanted.parts)


def _check_minutes(wanted: Wanted) -> None:
    if wanted.minutes is None:
        return
    if wanted.kind != Paper.Kind.TEST:
        raise PaperError(
            "Only a test has a time. Leave this empty, or make it a test.", field="minutes"
        )
    if not 1 <= wanted.minutes <= MOST_MINUTES:
        raise PaperError(f"Give a time from 1 to {MOST_MINUTES} minutes.", field="minutes")


def _check_parts(academy: Academy, parts: Sequence[PartWanted]) -> None:
    if not parts:
        raise PaperError("A paper needs at least one part. Add one.", field="parts")
    if len(parts) > MOST_PARTS:
        raise PaperError(f"A paper has at most {MOST_PARTS} parts.", field="parts")
    if any(part.count < 1 for part in parts):
        raise PaperError("Each part needs at least one question.", field="parts")
    total = sum(part.count for part in parts)
    if total > MOST_QUESTIONS:
        raise PaperError(
            f"That makes {total} questions, and {MOST_QUESTIONS} fit on a paper. Ask for fewer.",
            field="parts",
        )
    for number, part in enumerate(parts, 1):
        _check_part(academy, part, number)


def _check_part(academy: Academy, part: PartWanted, number: int) -> None:
    try:
        family = family_of(part.family)
    except ExerciseError as error:
        raise PaperError(str(error), field="parts", part=number) from error
    if part.label and part.label.academy_id != academy.pk:
        raise PaperError("Choose a label of your academy.", field="label", part=number)
    if part.label and part.level is not Level.EXAM:
        raise PaperError(
            "A product label overrides a rule, and that is asked at level exam only.",
            field="label",
            part=number,
        )
    if why := _module_trouble(academy, part.module_version, made_from_a_module(family)):
        raise PaperError(why, field="module", part=number)


def _module_trouble(academy: Academy, version: ModuleVersion | None, needed: bool) -> str:
    if not needed:
        return "This exercise is not made from a module. Choose none." if version else ""
    if version is None:
        return "This exercise is made from a module\u2019s own steps. Choose the module."
    return "" if _usable(academy, version) else "Choose a published module of your academy."


def _usable(academy: Academy, version: ModuleVersion) -> bool:
    return version.academy_id == academy.pk and version.state == ModuleVersion.State.PUBLISHED


def require_educator(academy: Academy, by: Person) -> None:
    if not rules.may_set(by, academy):
        raise PaperError("Only an educator of this academy sets, prints and withdraws papers.")
