from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings


def prepare(data: Path) -> str:
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "academy.settings.local",
        "SECRET_KEY": "only-for-tests",
        "BLOCKWORK_DATA": str(data),
        "BLOCKWORK_DEMO": "0",
        "DATABASE_URL": "",
    }
    command = [sys.executable, "manage.py", "prepare"]
    return subprocess.run(
        command, cwd=settings.ROOT, env=environment, check=True, capture_output=True, text=True
    ).stdout


def test_a_fresh_folder_is_made_ready_and_a_second_time_changes_nothing(tmp_path: Path) -> None:
    prepare(tmp_path)
    assert (tmp_path / "blockwork.sqlite3").exists()
    manifest = tmp_path / "static" / "staticfiles.json"
    assert '"css/blockwork.css": "css/blockwork.' in manifest.read_text()
    collected = manifest.stat().st_mtime_ns
    assert prepare(tmp_path) == ""
    assert manifest.stat().st_mtime_ns == collected
