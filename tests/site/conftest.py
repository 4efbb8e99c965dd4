"""What every test of the site shares: one academy, its people by role, and a client signed in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from academy.craft.proof.signing import Signer
from academy.people.models import Academy, Person, Role
from tests.site.factories import AcademyFactory, MembershipFactory, member


@pytest.fixture(autouse=True)
def _database(db: None) -> None:
    """Every test of the site may use the database."""


@pytest.fixture
def academy() -> Academy:
    return AcademyFactory(slug="larkmere", name="Larkmere Academy of Hair Colour")


@pytest.fixture
def other_academy() -> Academy:
    return AcademyFactory(slug="elsewhere", name="Elsewhere Academy")


@pytest.fixture
def make_member(academy: Academy) -> Callable[..., Person]:
    """`make_member(Role.ASSESSOR, name=…)`: a new person with that role in the academy."""

    def make(role: Role, academy: Academy = academy, **fields: object) -> Person:
        return member(academy, role, **fields)

    return make


@pytest.fixture
def apprentice(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.APPRENTICE, name="Tamsin Orle")


@pytest.fixture
def assessor(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.ASSESSOR, name="Dilys Okafor-Reed")


@pytest.fixture
def educator(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.EDUCATOR, name="Maren Tolvey")


@pytest.fixture
def verifier(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.VERIFIER, name="Ines Carradine")


@pytest.fixture
def manager(make_member: Callable[..., Person]) -> Person:
    return make_member(Role.MANAGER, name="Odile Farrant")


@pytest.fixture
def also(academy: Academy) -> Callable[..., None]:
    """`also(person, Role.VERIFIER)`: they hold one more role in the academy."""

    def give(person: Person, role: Role) -> None:
        MembershipFactory(academy=academy, person=person, role=role)

    return give


@pytest.fixture
def signed_in() -> Callable[[Person], Client]:
    """`signed_in(person)`: a browser in which that person is signed in."""

    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person)
        return client

    return sign_in


@pytest.fixture(scope="session", autouse=True)
def _key_file() -> Iterator[None]:
    """A key to sign the record with, as `manage.py prepare` makes one."""
    path = Path(settings.RECORD_KEY_FILE)
    path.write_bytes(Signer(bytes(range(32))).pem())
    path.chmod(0o600)
    yield
    path.unlink(missing_ok=True)
