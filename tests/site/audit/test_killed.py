"""A process that is killed at any statement of a deed leaves all of it or nothing, chain valid."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("killed.py")
ROOT = Path(__file__).parents[3]


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def url(request: pytest.FixtureRequest) -> str:
    """The address of an empty database; nothing for a file."""
    return str(request.getfixturevalue("postgres_url")) if request.param == "postgres" else ""


def kill(points: int, url: str, folder: Path) -> dict[str, list[str]]:
    done = subprocess.run(
        [sys.executable, "-W", "ignore", str(SCRIPT), str(points)],
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "DJANGO_SETTINGS_MODULE": "academy.settings.dev",
            "BLOCKWORK_DATA": str(folder),
            "DATABASE_URL": url,
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    said = json.loads(done.stdout.splitlines()[-1])
    assert said["wrong"] == [], done.stderr[-3000:]
    ends: dict[str, list[str]] = said["ends"]
    return ends


def test_a_killed_process_leaves_all_or_nothing(url: str, tmp_path: Path) -> None:
    ends = kill(30, url, tmp_path)
    for deed, found in ends.items():
        assert (found[0], found[-1], len(found)) == ("killed 0", "ended 1", 10), deed


@pytest.mark.deep
def test_five_hundred_killed_processes_leave_all_or_nothing(url: str, tmp_path: Path) -> None:
    ends = kill(500, url, tmp_path)
    for deed, found in ends.items():
        assert {"killed 0", "ended 1"} <= set(found), deed
