"""Every rule that a module must keep before it can be published, each with a sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.curriculum.content.limits import lengths, once, within
from academy.curriculum.content.needs import check_needs
from academy.curriculum.content.shape import (
    LEVEL_COUNT,
    CriterionContent,
    ModuleContent,
    Problem,
    Scope,
)
from academy.curriculum.content.sheets import check_sheets
from academy.curriculum.reference import caution_ids

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Mapping

KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
HEADS = (1, 10)
MONTHS = (1, 60)
WEIGHTS = (1, 5)
MINUTES = (Decimal(1), Decimal(600))


@dataclass(frozen=True)
class Known:
    """What a module may refer to. None means: not checked here.

    `modules` maps the key of every other module of the academy to the keys it needs.
    """

    cautions: Collection[str] | None = None
    families: Collection[str] | None = None
    modules: Mapping[str, Collection[str]] | None = None


def check(content: ModuleContent, known: Known | None = None) -> list[Problem]:
    """Say what keeps `content` from being published; an empty list means nothing does.

    Without `known`, cautions are checked against the shipped list, and families and needed modules
    only for being written once.
    """
    known = known or Known()
    return [
        *_whole(content),
        *lengths(content),
        *_steps(content),
        *_faults(content),
        *_criteria(content),
        *_targets(content),
        *check_sheets(content),
        *_references(content, known),
    ]


def _whole(content: ModuleContent) -> Iterator[Problem]:
    if not KEY.fullmatch(content.key):
        yield Problem(
            "key",
            "The key holds small letters, digits and single hyphens and starts with a letter, "
            "for example foil-folding.",
        )
    if not content.title:
        yield Problem("title", "The title is empty. Write what is taught, for example Slices.")
    if not content.purpose:
        yield Problem("purpose", "The purpose is empty. Say in one sentence what this is good for.")
    yield from within("heads_required", "Heads in a row", content.heads_required, HEADS)
    yield from within("months_valid", "Months in date", content.months_valid, MONTHS)
    yield from within("time_minutes", "Minutes allowed", content.time_minutes, MINUTES)
    yield from once("judged_zones", "zone", content.judged_zones)


def _steps(content: ModuleContent) -> Iterator[Problem]:
    if not content.steps:
        yield Problem("steps", "There is no step. Write at least one.")
    for n, step in enumerate(content.steps):
        if not step.head:
            yield Problem(f"steps.{n}.head", f"Step {n + 1} has no head. Give it a few words.")
        if not step.text:
            yield Problem(f"steps.{n}.text", f"Step {n + 1} has no text. Say what the hands do.")
    yield from once("steps", "step head", (step.head for step in content.steps))


def _faults(content: ModuleContent) -> Iterator[Problem]:
    for n, fault in enumerate(content.faults):
        if not fault.fault:
            yield Problem(f"faults.{n}.fault", f"Fault {n + 1} has no name. Say what one sees.")
        if not fault.cause:
            yield Problem(f"faults.{n}.cause", f"Fault {n + 1} has no likely cause. Add one.")
    yield from once("faults", "fault", (fault.fault for fault in content.faults))


def _criteria(content: ModuleContent) -> Iterator[Problem]:
    if not content.criteria:
        yield Problem("criteria", "There is no criterion. Without one nothing can be judged.")
    for n, criterion in enumerate(content.criteria):
        yield from _criterion(f"criteria.{n}", criterion)
        if criterion.scope is Scope.ZONES and not content.judged_zones:
            yield Problem(
                "judged_zones",
                f"{criterion.code or 'A criterion'} is judged by zone, but no zone is judged. "
                "Tick the zones, or judge it once for the head.",
            )
    yield from once("criteria", "code", (criterion.code for criterion in content.criteria))


def _criterion(path: str, criterion: CriterionContent) -> Iterator[Problem]:
    name = criterion.code or "This criterion"
    if not criterion.code:
        yield Problem(f"{path}.code", "A criterion has no code. Give it one, for example S1.")
    if not criterion.title:
        yield Problem(f"{path}.title", f"{name} does not say what is judged.")
    yield from within(f"{path}.weight", f"The weight of {name}", criterion.weight, WEIGHTS)
    if criterion.must_pass and not criterion.must_pass_reason:
        yield Problem(
            f"{path}.must_pass_reason",
            f"{name} is a must-pass without a reason. Say what goes wrong when it is missed.",
        )
    if criterion.must_pass_reason and not criterion.must_pass:
        yield Problem(
            f"{path}.must_pass", f"{name} has a reason for a must-pass, but is not marked as one."
        )
    yield from _levels(f"{path}.levels", name, criterion.levels)


def _levels(path: str, name: str, levels: tuple[str, ...]) -> Iterator[Problem]:
    if len(levels) != LEVEL_COUNT:
        yield Problem(
            path,
            f"{name} has {len(levels)} level texts. It needs five, for levels 0 to 4.",
        )
    for level, text in enumerate(levels[:LEVEL_COUNT]):
        if not text:
            yield Problem(
                f"{path}.{level}",
                f"{name}, level {level} has no text. Say what an assessor sees at this level.",
            )
    yield from once(path, f"level text in {name}", levels)


def _targets(content: ModuleContent) -> Iterator[Problem]:
    for n, line in enumerate(content.targets):
        if line.count < 1:
            yield Problem(
                f"targets.{n}.count",
                f"{line.count} {line.unit} is no target. Give a count of 1 or more, or take the "
                "line out.",
            )
    names = (f"{line.unit} {line.tag}".strip() for line in content.targets)
    yield from once("targets", "practice target", names)


def _references(content: ModuleContent, known: Known) -> Iterator[Problem]:
    cautions = caution_ids() if known.cautions is None else known.cautions
    for n, caution in enumerate(content.cautions):
        if caution not in cautions:
            yield Problem(f"cautions.{n}", f"There is no caution {caution}.")
    for n, family in enumerate(content.families):
        if known.families is not None and family not in known.families:
            yield Problem(f"families.{n}", f"There is no exercise family “{family}”.")
    yield from once("cautions", "caution", content.cautions)
    yield from once("families", "exercise family", content.families)
    yield from once("needs", "needed module", content.needs)
    if known.modules is not None:
        graph = {**known.modules, content.key: content.needs}
        yield from (Problem("needs", sentence) for _, sentence in check_needs(graph))
    elif content.key in content.needs:
        yield Problem("needs", "A module cannot need itself.")
