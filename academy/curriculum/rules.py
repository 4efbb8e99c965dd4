"""Who may do what to the curriculum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.people.models import Academy, Person, Role, held_roles_of

if TYPE_CHECKING:
    from academy.people.acting import Acting

STAFF = (Role.ASSESSOR, Role.EDUCATOR, Role.VERIFIER, Role.MANAGER)


def may_write(acting: Acting) -> bool:
    """Educators write modules, house rules, labels and awards."""
    return acting.holds(Role.EDUCATOR)


def may_write_in(academy: Academy, person: Person) -> bool:
    """The same, asked by a service."""
    return Role.EDUCATOR in held_roles_of(person, academy)


def may_see_causes(acting: Acting) -> bool:
    """The likely cause of a fault is a hint to staff, never a verdict an apprentice reads."""
    return acting.holds(*STAFF)
