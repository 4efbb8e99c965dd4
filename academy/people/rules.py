"""Who may do what with people, and what a text must be to name one. Nothing is changed here."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING, Final

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from academy.people.errors import PeopleError
from academy.people.models import Academy, Cohort, Membership, Person, Role, held_roles_of

if TYPE_CHECKING:
    from datetime import date

    from academy.people.models import Invitation

# First words of addresses that belong to the site itself (academy/urls.py).
RESERVED_SLUGS: Final = frozenset(
    {"account", "appearance", "c", "demo", "health", "invitation", "media", "parts", "r", "static"}
)
LONGEST_NAME: Final = 120
LONGEST_EMAIL: Final = 254
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LONGEST_SLUG: Final = 40


def may_manage_people(person: Person, academy: Academy) -> bool:
    """Managers invite, move and end. One query."""
    return Role.MANAGER in held_roles_of(person, academy)


def may_accept(person: Person, invitation: Invitation) -> bool:
    """An invitation is bound to the address that it was sent to."""
    return person.email.lower() == invitation.email.lower()


def may_take_slug(slug: str) -> bool:
    fits = len(slug) <= _LONGEST_SLUG and _SLUG.fullmatch(slug)
    return bool(fits) and slug not in RESERVED_SLUGS


def may_end(membership: Membership, last_day: date) -> bool:
    """False for the last manager: somebody must be left who can let people in. One query."""
    if membership.role != Role.MANAGER:
        return True
    others = Membership.objects.filter(
        academy_id=membership.academy_id, role=Role.MANAGER, until__isnull=True, since__lte=last_day
    )
    return others.exclude(person_id=membership.person_id).exists()


def may_learn_in(person: Person, cohort: Cohort) -> bool:
    """Only those who are apprentices of the cohort's academy have a place in it. One query."""
    return Role.APPRENTICE in held_roles_of(person, cohort.academy)


def may_teach(person: Person, academy: Academy) -> bool:
    return Role.EDUCATOR in held_roles_of(person, academy)


def read_name(text: str, *, field: str = "name") -> str:
    """A person's or cohort's name with single spaces, or `PeopleError`."""
    if any(unicodedata.category(sign) == "Cc" for sign in text.strip()):
        raise PeopleError("The name goes over several lines. Write it in one.", field=field)
    name = " ".join(text.split())
    if not name:
        raise PeopleError("There is no name. Write one.", field=field)
    if len(name) > LONGEST_NAME:
        raise PeopleError(
            f"The name has {len(name)} characters, and {LONGEST_NAME} fit. Shorten it.", field=field
        )
    return name


def read_email(text: str, *, field: str = "email") -> str:
    """An e-mail address in small letters, or `PeopleError`."""
    email = text.strip().lower()
    if not email:
        raise PeopleError("There is no e-mail address.", field=field)
    if len(email) > LONGEST_EMAIL:
        raise PeopleError(f"The address is longer than {LONGEST_EMAIL} characters.", field=field)
    try:
        validate_email(email)
    except ValidationError as error:
        raise PeopleError(
            "That is not an e-mail address. Write it whole, for example name@example.org.",
            field=field,
        ) from error
    return email


def read_role(text: str, *, field: str = "role") -> Role:
    """A role by its word, or `PeopleError` with the words that there are."""
    word = text.strip().lower()
    if word in Role.values:
        return Role(word)
    words = ", ".join(Role.values)
    raise PeopleError(f"There is no role “{text.strip()[:40]}”. Use one of: {words}.", field=field)
