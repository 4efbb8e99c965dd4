from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from academy.awards.services import issue_certificate
from tests.site.making import award_of, publish, signed_off, upheld

if TYPE_CHECKING:
    from academy.awards.models import Certificate
    from academy.curriculum.models import Award
    from academy.people.models import Academy, Person


@pytest.fixture
def award(academy: Academy, educator: Person) -> Award:
    return award_of(academy, educator, publish(academy, educator, "hygiene"))


@pytest.fixture
def complete(award: Award, assessor: Person, apprentice: Person, verifier: Person) -> Award:
    """The award with its one module signed off and upheld for the apprentice."""
    version = award.modules.get().versions.get()
    upheld(signed_off(version, assessor, apprentice), verifier)
    return award


@pytest.fixture
def no_printing(monkeypatch: pytest.MonkeyPatch) -> list[tuple[object, ...]]:
    """What would be printed; tests of the PDF itself do not use this."""
    asked: list[tuple[object, ...]] = []
    monkeypatch.setattr(
        "academy.awards.services.enqueue", lambda *arguments, **_: asked.append(arguments)
    )
    return asked


@pytest.fixture
def issue(
    academy: Academy, complete: Award, apprentice: Person, manager: Person, no_printing: object
) -> Callable[[], Certificate]:
    return lambda: issue_certificate(academy=academy, award=complete, holder=apprentice, by=manager)
