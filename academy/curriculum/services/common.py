"""What the services share: who may, the draft under lock, what a module may refer to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.curriculum.content import Known
from academy.curriculum.errors import CurriculumError
from academy.curriculum.models import ModuleVersion, Prerequisite
from academy.curriculum.reference import caution_ids, family_titles
from academy.curriculum.rules import may_write_in
from academy.people.models import Academy

if TYPE_CHECKING:
    from academy.people.models import Person

State = ModuleVersion.State


def require_educator(academy: Academy, by: Person | None) -> None:
    """Refuse whoever is not an educator here; None is a command at the machine."""
    if by is not None and not may_write_in(academy, by):
        raise CurriculumError("Only an educator of this academy can change its curriculum.")


def actor_id(by: Person | None) -> int | None:
    return by.pk if by else None


def lock_curriculum(academy: Academy) -> None:
    """Let one writer at a time decide on versions and numbers of this academy."""
    Academy.objects.select_for_update().get(pk=academy.pk)


def locked_draft(version: ModuleVersion) -> ModuleVersion:
    """The draft as it is stored now, held until the transaction ends."""
    found = (
        ModuleVersion.objects.select_for_update(of=("self",)).with_parts().filter(pk=version.pk)
    ).first()
    if found is None:
        raise CurriculumError("This draft was thrown away meanwhile. Start another one.")
    if found.state != State.DRAFT:
        raise CurriculumError(
            f"Version {found.number} was published meanwhile and stands as it is. "
            "Start a draft of the next version to change it."
        )
    return found


def known_for(academy: Academy, key: str) -> Known:
    """What the module `key` may refer to: cautions, families, and the other published modules."""
    return Known(
        cautions=caution_ids(),
        families=frozenset(family_titles()),
        modules={other: needs for other, needs in needs_map(academy).items() if other != key},
    )


def needs_map(academy: Academy) -> dict[str, list[str]]:
    """The keys that each published module of the academy needs. Two queries."""
    published = ModuleVersion.objects.filter(academy=academy, state=State.PUBLISHED)
    needs: dict[str, list[str]] = {
        key: [] for key in published.values_list("module__key", flat=True)
    }
    rows = Prerequisite.objects.filter(version__in=published)
    for key, need in rows.values_list("version__module__key", "needs__key"):
        needs[key].append(need)
    return needs
