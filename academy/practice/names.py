"""Names in free text. A diary is read by others, so people stay out of it unless meant."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.people.models import Membership, Person

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.people.models import Academy

_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_SHORTEST = 3


def names_in(texts: Iterable[str], academy: Academy, *, writer: Person) -> list[str]:
    """Words that are part of a name of the academy's people today, in reading order. One query.

    Only whole words with a capital count, and the writer's own name does not. A word that is
    also a name ("Mark") is found too: this warns, it does not know.
    """
    words = [word for text in texts for word in _WORD.findall(text) if word[:1].isupper()]
    if not words:
        return []
    members = Membership.objects.current(timezone.localdate()).filter(academy=academy)
    names = Person.objects.filter(memberships__in=members).exclude(pk=writer.pk)
    known = {part for name in names.values_list("name", flat=True) for part in _parts(name)}
    known -= _parts(writer.name)
    return list(dict.fromkeys(word for word in words if _parts(word) & known))


def _parts(name: str) -> set[str]:
    """The words of a name in small letters; "Okafor-Reed" is known whole and by halves."""
    whole = {word.casefold() for word in _WORD.findall(name)}
    halves = {half for word in whole for half in word.split("-")}
    return {part for part in whole | halves if len(part) >= _SHORTEST}
