"""A database of its own for the record, in a file or on a server, with real transactions."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from django.core.management import call_command
from django.db import connections, router
from psycopg.conninfo import conninfo_to_dict

from academy.audit import sentences
from academy.settings.env import SQLITE_START

if TYPE_CHECKING:
    from pytest_django.plugin import DjangoDbBlocker

ALIAS = "record"


class OneDatabase:
    """Sends everything to the database of the test."""

    def db_for_read(self, _model: object, **_: object) -> str:
        return ALIAS

    def db_for_write(self, _model: object, **_: object) -> str:
        return ALIAS


@pytest.fixture(autouse=True, scope="session")
def _an_action() -> None:
    sentences.register("audit.test.done", "{actor} did {number} with {subject}")


def sqlite_file(path: Path) -> dict[str, Any]:
    """The settings of a database in a file."""
    options = {"transaction_mode": "IMMEDIATE", "timeout": 20, "init_command": SQLITE_START}
    return {"ENGINE": "academy.web.sqlite", "NAME": path, "OPTIONS": options}


def _sqlite(request: pytest.FixtureRequest) -> dict[str, Any]:
    path: Path = request.getfixturevalue("tmp_path")
    return sqlite_file(path / "record.sqlite3")


def _postgresql(request: pytest.FixtureRequest) -> dict[str, Any]:
    parts = conninfo_to_dict(request.getfixturevalue("postgres_url"))
    return {
        "ENGINE": "academy.web.postgresql",
        "NAME": parts["dbname"],
        "USER": parts.get("user", ""),
        "PASSWORD": parts.get("password", ""),
        "HOST": parts.get("host", ""),
        "PORT": parts.get("port", ""),
    }


@pytest.fixture(
    params=[
        pytest.param(_sqlite, id="sqlite"),
        pytest.param(_postgresql, id="postgresql", marks=pytest.mark.postgres),
    ]
)
def database(request: pytest.FixtureRequest, django_db_blocker: DjangoDbBlocker) -> Iterator[str]:
    """The alias of an empty database that holds the record; everything goes there."""
    with django_db_blocker.unblock(), only_database(request.param(request)):
        yield ALIAS


@contextmanager
def only_database(settings: dict[str, Any]) -> Iterator[None]:
    """Everything goes to the database with these settings, its tables made."""
    wanted = connections.configure_settings({"default": settings})["default"]
    connections.settings[ALIAS] = wanted
    call_command("migrate", "audit", database=ALIAS, verbosity=0)
    before, router.routers = router.routers, [OneDatabase()]
    try:
        yield
    finally:
        router.routers = before
        connections[ALIAS].close()
        # Gone before the test's own clean-up looks at every database.
        del connections[ALIAS], connections.settings[ALIAS]
