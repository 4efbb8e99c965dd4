"""What the tests of people share: invitations, a cohort, and counting the record."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial

import pytest
from django.core.cache import cache

from academy.people import services
from academy.people.models import Academy, Cohort, Invitation, Person, Role
from tests.site.entries import one_entry_of


@pytest.fixture(autouse=True)
def _fresh_rate_limits() -> None:
    cache.clear()


@pytest.fixture
def plover(academy: Academy, manager: Person) -> Cohort:
    return services.make_cohort(
        academy=academy, by=manager, name="Plover", starts_on=date(2026, 1, 5)
    )


@pytest.fixture
def heron(academy: Academy, manager: Person) -> Cohort:
    return services.make_cohort(
        academy=academy, by=manager, name="Heron", starts_on=date(2026, 1, 5)
    )


@pytest.fixture
def invited(academy: Academy, manager: Person) -> Callable[..., Invitation]:
    """`invited(email=…)`: an open invitation, an assessor's unless said otherwise."""

    def make(**words: object) -> Invitation:
        words = {
            "email": "pia@example.test",
            "name": "Pia Harrow",
            "role": Role.ASSESSOR,
            **words,
        }
        return services.invite(academy=academy, by=manager, **words)  # type: ignore[arg-type]

    return make


@pytest.fixture
def one_entry(academy: Academy) -> Callable[[str], object]:
    """A block in which exactly one entry is written, of the action that is named."""
    return partial(one_entry_of, academy)
