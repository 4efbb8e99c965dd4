"""Migrations are complete, and the guards of rows that stand outlive them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command

from academy.audit import triggers
from academy.audit.triggers import _guards

# In a process and a database of its own: this one is held open by the other tests.
BACK_AND_FORTH = """
import django, sys
django.setup()
from django.core.management import call_command
from academy.audit import triggers
call_command("migrate", verbosity=0)
print(triggers.missing())
for app in ("awards", "assessment", "practice", "exercises"):
    call_command("migrate", app, "zero", verbosity=0)
from django.db import connection
left = set(connection.introspection.table_names())
gone = {guard.table for guard in triggers._guards.values()} - left
print(sorted(gone)[:1] != [])
standing = [name for name in triggers.missing() if not any(table in name for table in gone)]
print(standing)
call_command("migrate", verbosity=0)
print(triggers.missing())
"""


def test_no_model_is_ahead_of_its_migrations() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_every_protected_table_has_its_triggers() -> None:
    assert len(_guards) > 20
    assert triggers.missing() == []


def in_a_site_of_its_own(script: str, **environment: str) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=settings.ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "academy.settings.dev", **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.splitlines()


def test_migrating_back_and_forth_keeps_the_triggers(tmp_path: Path) -> None:
    told = in_a_site_of_its_own(BACK_AND_FORTH, BLOCKWORK_DATA=str(tmp_path), DATABASE_URL="")
    assert told == ["[]", "True", "[]", "[]"]


@pytest.mark.postgres
def test_the_same_holds_on_postgresql(tmp_path: Path, postgres_url: str) -> None:
    told = in_a_site_of_its_own(
        BACK_AND_FORTH, BLOCKWORK_DATA=str(tmp_path), DATABASE_URL=postgres_url
    )
    assert told == ["[]", "True", "[]", "[]"]
