"""Which column of a list holds what: by its heading, or in the order of `ORDER`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from academy.people.errors import PeopleError

if TYPE_CHECKING:
    from collections.abc import Sequence

ORDER: Final = ("e-mail", "name", "role", "cohort")
_NEEDED: Final = ORDER[:3]
_HEADINGS: Final = {
    "e-mail": "e-mail",
    "email": "e-mail",
    "mail": "e-mail",
    "address": "e-mail",
    "e-mail address": "e-mail",
    "email address": "e-mail",
    "name": "name",
    "role": "role",
    "cohort": "cohort",
    "group": "cohort",
}


@dataclass(frozen=True)
class Columns:
    """What each column of the list holds; "" for one that is not used. `bad` says what is wrong."""

    held: tuple[str, ...] = ORDER
    headed: bool = False
    bad: tuple[str, ...] = ()
    lacking: bool = False

    def pick(self, cells: Sequence[str]) -> tuple[str, str, str, str]:
        """E-mail, name, role and cohort of a line; "" where it is too short."""
        if any(cell.strip() for cell in cells[len(self.held) :]):
            raise PeopleError(
                f"{len(cells)} columns. {self._there_are()} "
                "A name with a comma in it goes between quotation marks."
            )
        found = dict(zip(self.held, cells, strict=False))
        email, name, role, cohort = (found.get(column, "") for column in ORDER)
        return email, name, role, cohort

    def _there_are(self) -> str:
        if self.headed:
            return f"The heading has {len(self.held)}."
        return f"There are four: {', '.join(ORDER)}."


def headings(cells: Sequence[str]) -> Columns | None:
    """The columns that a first line names, or None where it is no heading but a person."""
    words = [" ".join(cell.lower().split()) for cell in cells]
    while words and not words[-1]:
        words.pop()
    held = tuple(_HEADINGS.get(word, "") for word in words)
    if not any(held) or any("@" in word for word in words):
        return None
    bad = [
        f"Column “{cell.strip()[:40]}” is not used here."
        for cell, column in zip(cells, held, strict=False)
        if cell.strip() and not column
    ]
    bad += [f"Two columns hold the {name}. Keep one." for name in ORDER if held.count(name) > 1]
    missing = [name for name in _NEEDED if name not in held]
    bad += [f"The heading names no column for the {name}." for name in missing]
    return Columns(held, headed=True, bad=tuple(bad), lacking=bool(missing))
