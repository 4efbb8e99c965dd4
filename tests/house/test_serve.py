from __future__ import annotations

import multiprocessing
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from house import environment, serve
from house.machine import CannotGoOnError


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(serve, "DATA", tmp_path)
    for name in ("PORT", "DATABASE_URL", "SITE_ADDRESS", "DJANGO_SETTINGS_MODULE"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def taken() -> Iterator[int]:
    """A port on which somebody listens."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def test_a_port_that_was_asked_for_and_is_taken_is_refused(
    taken: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PORT", str(taken))
    with pytest.raises(CannotGoOnError, match=f"Port {taken} is taken"):
        serve.free_port()


@pytest.mark.parametrize("given", ["eight", "0", "70000", "-1", "80.5"])
def test_a_port_that_is_no_port_is_refused(given: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PORT", given)
    with pytest.raises(CannotGoOnError, match="Give a number from 1 to 65535"):
        serve.free_port()


def test_without_a_wish_the_first_free_port_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(serve, "is_free", lambda port: port >= 8002)
    assert serve.free_port() == 8002


def test_the_secret_key_is_made_once_and_only_its_owner_can_read_it(data: Path) -> None:
    serve.settings_for(8000)
    key = data / "secret-key"
    first = key.read_text()
    serve.settings_for(8001)
    assert key.read_text() == first
    assert len(first) > 50
    assert stat.S_IMODE(key.stat().st_mode) == 0o600


def test_the_key_is_not_in_the_environment_of_the_children() -> None:
    assert "SECRET_KEY" not in serve.settings_for(8000)


def use_alone(data: Path, answers: multiprocessing.Queue[str]) -> None:
    serve.DATA = data
    try:
        with serve.sole_use():
            answers.put("in use")
    except CannotGoOnError as refused:
        answers.put(str(refused))


def test_two_runs_in_one_folder_are_refused(data: Path) -> None:
    spawn = multiprocessing.get_context("fork")
    answers = spawn.Queue()
    with serve.sole_use():
        second = spawn.Process(target=use_alone, args=(data, answers))
        second.start()
        assert "already runs from this folder" in answers.get(timeout=10)
        second.join()
    third = spawn.Process(target=use_alone, args=(data, answers))
    third.start()
    assert answers.get(timeout=10) == "in use"
    third.join()


def test_a_fresh_demo_puts_the_old_data_aside(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(environment, "ensure", lambda _lock: None)
    monkeypatch.setattr(serve, "prepare", lambda _variables: None)
    (data / "blockwork.sqlite3").write_text("old")
    (data / "media").mkdir()
    serve.clean_demo()
    kept = next(data.glob("before-*"))
    assert (kept / "blockwork.sqlite3").read_text() == "old"
    assert not (data / "blockwork.sqlite3").exists()
    assert not (data / "media").exists()


def test_a_database_server_is_not_emptied(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgres://somewhere/academy")
    with pytest.raises(CannotGoOnError, match="Only the SQLite demo"):
        serve.clean_demo()
