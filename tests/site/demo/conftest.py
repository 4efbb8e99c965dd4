"""The demo academy, loaded once for all tests of this folder, on one fixed morning."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import pytest
import time_machine

from academy.people.models import Academy, Person
from tests.site.demo_played import NOW, demo_played

if TYPE_CHECKING:
    from pytest_django import DjangoDbBlocker

    from academy.demo.loading import Loaded


@pytest.fixture(scope="package")
def played(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Loaded]:
    with django_db_blocker.unblock(), demo_played() as loaded:
        yield loaded


@pytest.fixture
def demo_academy(played: Loaded) -> Iterator[Academy]:
    """The academy, seen on the morning it was loaded for."""
    with time_machine.travel(NOW, tick=False):
        yield played.academy


@pytest.fixture
def person() -> Callable[[str], Person]:
    """`person("Tamsin")`: whoever's name begins so."""

    def find(name: str) -> Person:
        return Person.objects.get(name__startswith=name)

    return find
