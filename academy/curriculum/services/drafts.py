"""Drafts: begun, written, thrown away. A draft's touches are no entries of the record."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from academy.audit.services import record
from academy.curriculum.content import ModuleContent, Problem
from academy.curriculum.content.checking import KEY
from academy.curriculum.content.limits import LONGEST
from academy.curriculum.errors import CurriculumError, StaleDraftError
from academy.curriculum.keeping import cannot_be_kept
from academy.curriculum.models import Module, ModuleVersion
from academy.curriculum.rows import content_of, fingerprint, write_rows
from academy.curriculum.services.common import (
    State,
    actor_id,
    lock_curriculum,
    locked_draft,
    require_educator,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.people.models import Academy, Person


@transaction.atomic
def start_module(*, academy: Academy, by: Person | None, key: str, title: str) -> ModuleVersion:
    """A new module with an empty draft of its first version."""
    require_educator(academy, by)
    lock_curriculum(academy)
    _check_new(academy, key, title)
    last = Module.objects.filter(academy=academy).aggregate(last=Max("position"))["last"]
    module = Module.objects.create(academy=academy, key=key, position=(last or 0) + 1)
    version = ModuleVersion.objects.create(
        academy=academy, module=module, number=1, title=title, made_by=by
    )
    record(
        academy_id=academy.pk,
        actor_id=actor_id(by),
        action="curriculum.module.started",
        subject=version,
        details={"module": key},
    )
    return version


def _check_new(academy: Academy, key: str, title: str) -> None:
    if not KEY.fullmatch(key) or len(key) > LONGEST[ModuleContent]["key"]:
        raise CurriculumError(
            "The short name holds small letters, digits and single hyphens, at most 40, and starts "
            "with a letter, for example foil-folding.",
            field="key",
        )
    if Module.objects.filter(academy=academy, key=key).exists():
        raise CurriculumError(
            f"There is a module {key} already. Start a draft of its next version, or take another "
            "short name.",
            field="key",
        )
    if not title.strip() or len(title) > LONGEST[ModuleContent]["title"]:
        raise CurriculumError("Give the module a title of at most 120 characters.", field="title")


@transaction.atomic
def start_draft(*, module: Module, by: Person | None) -> ModuleVersion:
    """A draft of the next version, as a copy of the published one; one draft for each module."""
    require_educator(module.academy, by)
    lock_curriculum(module.academy)
    versions = ModuleVersion.objects.filter(module=module)
    if versions.filter(state=State.DRAFT).exists():
        raise CurriculumError("This module has a draft already. Go on with that one.")
    base = versions.with_parts().order_by("-published_at").first()
    if base is None:
        raise CurriculumError("This module has no version to copy. Start it as a new module.")
    last = versions.aggregate(last=Max("number"))["last"]
    draft = ModuleVersion.objects.create(
        academy=module.academy,
        module=module,
        number=last + 1,
        title=base.title,
        based_on=base,
        made_by=by,
    )
    write_rows(draft, content_of(base), [need.needs for need in base.prerequisites.all()])
    record(
        academy_id=module.academy_id,
        actor_id=actor_id(by),
        action="curriculum.draft.started",
        subject=draft,
        details={"module": module.key, "based_on": base.pk},
    )
    return draft


@transaction.atomic
def write_draft(*, version: ModuleVersion, content: ModuleContent, by: Person | None) -> None:
    """Put `content` in the place of everything the draft holds.

    A half-written draft is kept; what its rows could not hold is refused with every problem.
    """
    require_educator(version.academy, by)
    _write(locked_draft(version), content)


@transaction.atomic
def write_part(
    *, version: ModuleVersion, changes: Mapping[str, Any], seen: str, by: Person | None
) -> ModuleContent:
    """Write some fields of a draft, as long as they are as the writer has seen them.

    `changes` are fields of `ModuleContent`; `seen` is the `fingerprint` of those fields on the page
    that was sent. `StaleDraftError` when they were saved from elsewhere meanwhile.
    """
    require_educator(version.academy, by)
    draft = locked_draft(version)
    now = content_of(draft)
    if fingerprint(now, changes) != seen:
        raise StaleDraftError(
            "This part was saved from another window or by somebody else after you opened it. "
            "Nothing of yours is lost: it stands below, not saved yet.",
            now=now,
        )
    content = replace(now, **changes)
    _write(draft, content)
    return content


def _write(draft: ModuleVersion, content: ModuleContent) -> None:
    problems = cannot_be_kept(content)
    if content.key != draft.module.key:
        problems.append(Problem("key", "The short name of a module never changes."))
    needs = _need_rows(draft, content.needs, problems)
    if problems:
        raise CurriculumError(
            " ".join(problem.sentence for problem in problems[:3]), problems=problems
        )
    draft.changed_at = timezone.now()
    write_rows(draft, content, needs)


def _need_rows(draft: ModuleVersion, keys: Sequence[str], problems: list[Problem]) -> list[Module]:
    found = {
        module.key: module
        for module in Module.objects.filter(academy=draft.academy_id, key__in=keys)
    }
    problems += [
        Problem("needs", f"There is no module “{key}” in this academy.")
        for key in keys
        if key not in found
    ]
    return [found[key] for key in dict.fromkeys(keys) if key in found]


@transaction.atomic
def discard_draft(*, version: ModuleVersion, by: Person | None) -> None:
    """Throw a draft away; a module that never had another version goes with it."""
    require_educator(version.academy, by)
    draft = locked_draft(version)
    module, details = draft.module, {"module": draft.module.key, "number": draft.number}
    only = not module.versions.exclude(pk=draft.pk).exists()
    if only and module.needed_by.exists():
        raise CurriculumError(
            "Another draft needs this module. Take it out of that draft's needs first."
        )
    subject = ("curriculum.moduleversion", draft.pk)
    draft.delete()
    if only:
        module.delete()
    record(
        academy_id=version.academy_id,
        actor_id=actor_id(by),
        action="curriculum.draft.discarded",
        subject=subject,
        details=details,
    )
