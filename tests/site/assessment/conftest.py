"""A small published module, and an apprentice whose head stands on the block."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse

from academy.audit.models import Entry
from academy.people.models import Role
from tests.site.making import draft_head, judged_head, publish, signed_off

if TYPE_CHECKING:
    from django.test import Client

    from academy.assessment.models import Assessment, SignOff
    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy, Person


@pytest.fixture
def version(academy: Academy, educator: Person) -> ModuleVersion:
    """Gloves (A1, whole head, must reach 3) and coverage (A2, crown and nape), one head."""
    return publish(academy, educator, "coverage", zones=True)


@pytest.fixture
def colleague(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.ASSESSOR, name="Joren Pask")


@pytest.fixture
def draft(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    return draft_head(version, assessor, apprentice)


@pytest.fixture
def submitted(version: ModuleVersion, assessor: Person, apprentice: Person) -> Assessment:
    """Competent, with whole feedback."""
    return judged_head(version, assessor, apprentice)


@pytest.fixture
def sign_off(version: ModuleVersion, assessor: Person, apprentice: Person) -> SignOff:
    return signed_off(version, assessor, apprentice)


@pytest.fixture
def entries() -> Callable[[], list[str]]:
    """`entries()`: the actions recorded since the last call."""
    seen = set(Entry.objects.values_list("pk", flat=True))

    def fresh() -> list[str]:
        rows = Entry.objects.exclude(pk__in=seen).order_by("pk")
        found = list(rows.values_list("pk", "action"))
        seen.update(pk for pk, _ in found)
        return [action for _, action in found]

    return fresh


@pytest.fixture
def chair(assessor: Person, signed_in: Callable[[Person], Client]) -> Client:
    """The assessor's browser."""
    return signed_in(assessor)


def address(academy: Academy, name: str, **kwargs: Any) -> str:
    return reverse(f"assessment:{name}", kwargs={"academy": academy.slug, **kwargs})


@pytest.fixture
def url(academy: Academy) -> Callable[..., str]:
    """`url("assessment-level", token=…)`: an address in the academy."""

    def at(name: str, **kwargs: Any) -> str:
        return address(academy, name, **kwargs)

    return at
