"""Awards: the set of modules that is certified together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import Max

from academy.audit.services import record
from academy.curriculum.content.checking import KEY, MONTHS
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import Award, Module, ModuleVersion
from academy.curriculum.services.common import actor_id, lock_curriculum, require_educator

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.people.models import Academy, Person


@transaction.atomic
def make_award(
    *,
    academy: Academy,
    by: Person | None,
    key: str,
    title: str,
    modules: Sequence[str],
    months_valid: int = 24,
    mannequin_counts: bool = True,
    two_assessors: bool = True,
) -> Award:
    """A new award of published modules, named by their keys."""
    require_educator(academy, by)
    lock_curriculum(academy)
    _check(academy, key, title, months_valid)
    found = _published(academy, modules)
    last = Award.objects.filter(academy=academy).aggregate(last=Max("position"))["last"]
    award = Award.objects.create(
        academy=academy,
        key=key,
        position=(last or 0) + 1,
        title=title,
        months_valid=months_valid,
        mannequin_counts=mannequin_counts,
        two_assessors=two_assessors,
    )
    award.modules.set(found)
    record(
        academy_id=academy.pk,
        actor_id=actor_id(by),
        action="curriculum.award.made",
        subject=award,
        details={"award": key, "modules": sorted(modules), "months": months_valid},
    )
    return award


def _check(academy: Academy, key: str, title: str, months_valid: int) -> None:
    if not KEY.fullmatch(key) or len(key) > 40:
        raise CurriculumError(
            "The short name holds small letters, digits and single hyphens, at most 40.",
            field="key",
        )
    if Award.objects.filter(academy=academy, key=key).exists():
        raise CurriculumError(f"There is an award {key} already.", field="key")
    if not title.strip() or len(title) > 120:
        raise CurriculumError("Give the award a title of at most 120 characters.", field="title")
    low, high = MONTHS
    if not low <= months_valid <= high:
        raise CurriculumError(
            f"A certificate is valid for {low} to {high} months.", field="months_valid"
        )


def _published(academy: Academy, keys: Sequence[str]) -> list[Module]:
    found = {
        module.key: module
        for module in Module.objects.filter(
            academy=academy, key__in=keys, versions__state=ModuleVersion.State.PUBLISHED
        )
    }
    absent = [key for key in keys if key not in found]
    if absent or not keys:
        named = ", ".join(absent) or "none was named"
        raise CurriculumError(
            f"An award is made of published modules. Not published: {named}.", field="modules"
        )
    return list(found.values())
