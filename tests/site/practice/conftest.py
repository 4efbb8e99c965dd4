"""What the tests of practice share: published modules, and sessions made through the services."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

from academy.curriculum.content import ModuleContent, PracticeUnit
from academy.curriculum.models import ModuleVersion
from academy.curriculum.services import load_modules
from academy.curriculum.services.loading import read_modules
from academy.practice import services
from academy.practice.targets import Done
from academy.web.tokens import new_token
from tests.site.entries import one_entry_of

if TYPE_CHECKING:
    from academy.people.models import Academy, Person
    from academy.practice.models import PracticeSession

NEEDED = ("hygiene", "consultation", "quarters", "regrowth", "strand-check", "white-coverage")


@pytest.fixture(scope="session")
def contents() -> dict[str, ModuleContent]:
    return {content.key: content for content in read_modules()}


@pytest.fixture
def publish(contents: dict[str, ModuleContent]) -> Callable[[Academy], None]:
    """To be called with an academy: publishes white-hair coverage with all that it needs."""

    def make(academy: Academy) -> None:
        load_modules(academy=academy, by=None, contents=[contents[key] for key in NEEDED])

    return make


def published(academy: Academy, key: str) -> ModuleVersion:
    return ModuleVersion.objects.get(academy=academy, module__key=key, state="published")


@pytest.fixture
def white(academy: Academy, publish: Callable[[Academy], None]) -> ModuleVersion:
    """White-hair coverage, whose target is heads 5; heads 3 resistant (trade.md 3.11)."""
    publish(academy)
    return published(academy, "white-coverage")


@pytest.fixture
def log(academy: Academy, apprentice: Person, white: ModuleVersion) -> Callable[..., object]:
    """`log(heads=1, days=2, supervisor=…)`: a session of the apprentice in white-hair coverage."""

    def make(
        *,
        heads: int = 1,
        tag: str = "",
        days: float = 1,
        by: Person = apprentice,
        supervisor: Person | None = None,
        key: str = "",
        version: ModuleVersion = white,
        **more: object,
    ) -> PracticeSession:
        words = {
            "started_at": timezone.now() - timedelta(days=days),
            "minutes": 50,
            "units": [Done(PracticeUnit.HEADS, heads, tag)],
            **more,
        }
        return services.log_session(
            academy=academy,
            apprentice=by,
            version=version,
            sitting=services.Sitting(**words),  # type: ignore[arg-type]
            client_key=key or new_token(),
            supervisor=supervisor,
        )

    return make


@pytest.fixture
def one_entry(academy: Academy) -> Callable[[str], object]:
    """A block in which exactly one entry is written, of the action that is named."""
    return partial(one_entry_of, academy)
