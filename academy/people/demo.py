"""The people of the demo academy, to sign in as; none while the demo setting is off."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from django.conf import settings

from academy.people.models import Person, Role

# Everybody's in the demo, shown beside their names: signing off asks for it again.
PASSWORD: Final = "tail-comb-and-foil"  # noqa: S105


@dataclass(frozen=True)
class DemoPerson:
    """Somebody to sign in as, with a line of their story."""

    token: str
    name: str
    role: Role
    cohort: str
    story: str

    @property
    def line(self) -> str:
        place = f", {self.cohort}" if self.cohort else ""
        return f"{self.role.label.capitalize()}{place} · {self.story}"


def demo_people() -> list[DemoPerson]:
    """Those who are shown and have been loaded, in the order of the fixture; one query."""
    if not settings.BLOCKWORK_DEMO:
        return []
    written = [row for row in _written() if row.get("sign_in")]
    rows = Person.objects.filter(is_active=True, email__in=[row["email"] for row in written])
    loaded = {person.email: person for person in rows}
    return [
        DemoPerson(
            token=loaded[row["email"]].token,
            name=loaded[row["email"]].name,
            role=Role(row["role"]),
            cohort=str(row.get("cohort", "")).capitalize(),
            story=row["story"],
        )
        for row in written
        if row["email"] in loaded
    ]


def one_of_each_role() -> list[DemoPerson]:
    """The first of each role: enough to begin with on the sign-in page."""
    first: dict[Role, DemoPerson] = {}
    for person in demo_people():
        first.setdefault(person.role, person)
    return [first[role] for role in Role if role in first]


@cache
def _written() -> tuple[dict[str, Any], ...]:
    text = (settings.ROOT / "fixtures" / "demo" / "people.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["person"])
