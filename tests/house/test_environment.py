from __future__ import annotations

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest
from house import environment, machine
from house.machine import CannotGoOnError

LOCK = machine.ROOT / "requirements" / "run.txt"


@pytest.fixture
def venv(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An environment in another folder, whose Python is this one."""
    monkeypatch.setattr(environment, "VENV", tmp_path)
    monkeypatch.setattr(environment, "PYTHON", Path(sys.executable))
    monkeypatch.setattr(environment, "PAUSES", (0, 0))
    return tmp_path


@pytest.fixture
def tries(venv: Path, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The codes that one installer gives, one for each try; what is left was not asked for."""
    codes: list[int] = []

    def install(_command: object, **_options: object) -> subprocess.CompletedProcess[str]:
        return subprocess.CompletedProcess([], codes.pop(0), "", "the download broke off")

    monkeypatch.setattr(environment, "installers", lambda _lock: [["installer"]])
    monkeypatch.setattr(subprocess, "run", install)
    monkeypatch.setattr(environment, "works", lambda: True)
    return codes


def test_a_download_that_breaks_off_is_tried_again(venv: Path, tries: list[int]) -> None:
    tries += [1, 1, 0]
    environment.ensure("run")
    assert tries == []
    assert (venv / "run.sha256").read_text() == hashlib.sha256(LOCK.read_bytes()).hexdigest()


def test_after_three_tries_the_trouble_is_told_and_nothing_is_stamped(
    venv: Path, tries: list[int]
) -> None:
    tries += [1, 1, 1, 0]
    with pytest.raises(CannotGoOnError, match="the download broke off"):
        environment.ensure("run")
    assert tries == [0]
    assert not (venv / "run.sha256").exists()


def test_what_is_installed_is_not_installed_again(venv: Path, tries: list[int]) -> None:
    (venv / "run.sha256").write_text(hashlib.sha256(LOCK.read_bytes()).hexdigest())
    environment.ensure("run")


def test_a_changed_lock_is_installed(venv: Path, tries: list[int]) -> None:
    tries += [0]
    (venv / "run.sha256").write_text("the sum of an older lock")
    environment.ensure("run")
    assert tries == []


def test_every_package_of_the_locks_has_a_hash_and_both_locks_agree() -> None:
    pinned = {}
    for name in ("run", "test"):
        text = (machine.ROOT / "requirements" / f"{name}.txt").read_text()
        entries = [line for line in text.replace("\\\n", " ").splitlines() if "==" in line]
        entries = [line for line in entries if not line.lstrip().startswith("#")]
        assert all("--hash=sha256:" in line for line in entries)
        pinned[name] = {line.split(" --hash")[0].strip() for line in entries}
    assert pinned["run"] <= pinned["test"]
    assert pinned["run"]


def test_libraries_without_rights_come_before_those_of_the_machine(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(machine, "NATIVE", tmp_path)
    monkeypatch.setenv("LD_LIBRARY_PATH", "/elsewhere")
    folder = tmp_path / "usr" / "lib" / "some-machine"
    folder.mkdir(parents=True)
    (folder / "libpango-1.0.so.0").touch()
    assert machine.library_path() == f"{folder}:/elsewhere"


def test_an_old_python_is_told_what_is_needed() -> None:
    code = "import runpy, sys; sys.version_info = (3, 10, 2); runpy.run_path('scripts/setup.py')"
    command = [sys.executable, "-c", code]
    answer = subprocess.run(command, cwd=machine.ROOT, capture_output=True, text=True, check=False)
    assert answer.returncode == 1
    assert "Blockwork needs Python 3.11 or newer; this is 3.10." in answer.stderr
