"""What a page of a sheet sends: the texts of its fields, and how each came."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.exercises.queries.lines import joined
from academy.exercises.services.arriving import Came

if TYPE_CHECKING:
    from django.http import QueryDict

    from academy.exercises.services.keeping import At

_FIELD = re.compile(r"q([0-9]{1,3})-([a-z0-9_-]{1,40})")
_LONGEST_AGE = timedelta(days=60)


@dataclass
class Sent:
    """The texts by field, and how they came. Fields are named `q2-stock`.

    Beside each may stand `was-q2-stock`, what the page knew to stand there, and `age-q2-stock`,
    the milliseconds since it was typed; an age needs no agreement between two clocks.
    """

    texts: dict[At, str] = field(default_factory=dict)
    came: dict[At, Came] = field(default_factory=dict)

    def without(self, at: At) -> None:
        """Leave a field as it stands."""
        self.texts.pop(at, None)


def field_at(name: str) -> At | None:
    """The field that a name means: "q2-stock" is the field "stock" of question 2."""
    found = _FIELD.fullmatch(name)
    return (int(found[1]), found[2]) if found else None


def sent_in(posted: QueryDict) -> Sent:
    """What was posted; other names are passed over."""
    sent = Sent()
    for name in posted:
        at = field_at(name)
        if at is None:
            continue
        sent.texts[at] = joined([str(text) for text in posted.getlist(name)])
        age = _age(str(posted.get(f"age-{name}", "")))
        typed_at = None if age is None else timezone.now() - age
        was = posted.get(f"was-{name}")
        sent.came[at] = Came(None if was is None else str(was), typed_at)
    return sent


def _age(text: str) -> timedelta | None:
    if not (text.isascii() and text.isdigit() and len(text) < 16):
        return None
    return min(timedelta(milliseconds=int(text)), _LONGEST_AGE)
