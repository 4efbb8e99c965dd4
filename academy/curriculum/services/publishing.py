"""From a draft to an edition that stands, and out of use again."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from academy.audit.services import record
from academy.craft.proof.canonical import canonical
from academy.curriculum.content import ModuleContent, Problem, as_dict, check
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import Award, Module, ModuleVersion, Prerequisite
from academy.curriculum.rows import content_of, fingerprint_of_all, same
from academy.curriculum.services.common import (
    State,
    actor_id,
    known_for,
    lock_curriculum,
    locked_draft,
    require_educator,
)

if TYPE_CHECKING:
    from academy.people.models import Person


@transaction.atomic
def publish_version(
    *, version: ModuleVersion, by: Person | None, seen: str | None = None
) -> ModuleVersion:
    """Publish a draft: it is checked whole, takes the place of the published version, and stands.

    `seen` is the `fingerprint_of_all` of what the publisher has read: a draft that was written to
    since then is refused. `CurriculumError` with every problem while something keeps it back.
    """
    require_educator(version.academy, by)
    lock_curriculum(version.academy)
    draft = locked_draft(version)
    content = content_of(draft)
    if seen is not None and seen != fingerprint_of_all(content):
        raise CurriculumError(
            "The draft was changed after you opened this page. Read it as it is now, then publish."
        )
    _refuse_unready(draft, content)
    now = timezone.now()
    former = _published(draft.module)
    if former is not None:
        _refuse_unchanged(former, content)
        _retire(former)
    draft.state, draft.published_at, draft.published_by = State.PUBLISHED, now, by
    # The state last: from here on the database lets nothing of this version be changed.
    draft.save(update_fields=["state", "published_at", "published_by"])
    details = {
        "module": draft.module.key,
        "number": draft.number,
        "content_hash": hashlib.sha256(canonical(as_dict(content))).hexdigest(),
    }
    if former is not None:
        details["retired"] = former.pk
    record(
        academy_id=draft.academy_id,
        actor_id=actor_id(by),
        action="curriculum.version.published",
        subject=draft,
        details=details,
    )
    return draft


def problems_of(draft: ModuleVersion, content: ModuleContent) -> list[Problem]:
    """What keeps a draft from being published today. Two queries."""
    return check(content, known_for(draft.academy, draft.module.key))


def _refuse_unready(draft: ModuleVersion, content: ModuleContent) -> None:
    problems = problems_of(draft, content)
    if problems:
        count = len(problems)
        more = "One thing keeps" if count == 1 else f"{count} things keep"
        raise CurriculumError(f"{more} this version from being published.", problems=problems)


def _refuse_unchanged(former: ModuleVersion, content: ModuleContent) -> None:
    if same(content_of(former), content):
        raise CurriculumError(
            f"Nothing differs from version {former.number}. Change something, or throw the draft "
            "away."
        )


@transaction.atomic
def retire_version(*, version: ModuleVersion, by: Person | None) -> None:
    """Take the published version out of use without another in its place."""
    require_educator(version.academy, by)
    lock_curriculum(version.academy)
    current = _published(version.module)
    if current is None or current.pk != version.pk:
        raise CurriculumError("This version is not the published one. There is nothing to retire.")
    _refuse_needed(current)
    _retire(current)
    record(
        academy_id=current.academy_id,
        actor_id=actor_id(by),
        action="curriculum.version.retired",
        subject=current,
        details={"module": current.module.key, "number": current.number},
    )


def _published(module: Module) -> ModuleVersion | None:
    published = ModuleVersion.objects.filter(module=module, state=State.PUBLISHED)
    return published.with_parts().first()


def _retire(version: ModuleVersion) -> None:
    version.state, version.retired_at = State.RETIRED, timezone.now()
    version.save(update_fields=["state", "retired_at"])


def _refuse_needed(version: ModuleVersion) -> None:
    needing = Prerequisite.objects.filter(needs=version.module, version__state=State.PUBLISHED)
    titles = list(needing.order_by("version__title").values_list("version__title", flat=True))
    if titles:
        raise CurriculumError(
            f"{_and(titles)} {'needs' if len(titles) == 1 else 'need'} this module. Publish a "
            "version without that need first."
        )
    awards = list(Award.objects.filter(modules=version.module).values_list("title", flat=True))
    if awards:
        raise CurriculumError(
            f"This module is part of the award {_and(awards)}. It stays as long as it is."
        )


def _and(words: list[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
