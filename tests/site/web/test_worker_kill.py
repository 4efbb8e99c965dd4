"""The proof that background work survives the death of its workers (docs/running.md)."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

SCRIPT = Path(__file__).with_name("background.py")
ROOT = Path(__file__).parents[3]


@dataclass
class Site:
    """A site in a folder of its own, with as many workers as a test starts."""

    folder: Path
    database_url: str
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def command(self, *words: str) -> list[str]:
        return [sys.executable, str(SCRIPT), str(self.folder), *words]

    @property
    def environment(self) -> dict[str, str]:
        return {**os.environ, "PYTHONPATH": str(ROOT), "DATABASE_URL": self.database_url}

    def run(self, *words: str) -> str:
        return subprocess.run(
            self.command(*words), env=self.environment, check=True, capture_output=True, text=True
        ).stdout

    def start_worker(self) -> subprocess.Popen[bytes]:
        worker = subprocess.Popen(
            self.command("work"), env=self.environment, start_new_session=True
        )
        self.workers.append(worker)
        return worker

    def kill_worker(self) -> None:
        """End every process of the last worker at once, as when its machine goes down."""
        worker = self.workers.pop()
        if worker.poll() is None:
            os.killpg(worker.pid, signal.SIGKILL)
        worker.wait()

    def notes(self, word: str) -> list[int]:
        """The process numbers of the notes that begin with `word`."""
        path = self.folder / "notes"
        lines = path.read_text().splitlines() if path.exists() else []
        return [int(line.split()[2]) for line in lines if line.startswith(word)]

    def jobs(self) -> list[list[object]]:
        found: list[list[object]] = json.loads(self.run("show"))
        return found

    def let_go(self) -> None:
        (self.folder / "let-go").touch()


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def site(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Site]:
    url = request.getfixturevalue("postgres_url") if request.param == "postgres" else ""
    site = Site(tmp_path, url)
    site.run("migrate")
    yield site
    while site.workers:
        site.kill_worker()


def wait_until(fact: Callable[[], object], what: str, seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not fact():
        assert time.monotonic() < end, f"{what} did not happen within {seconds} seconds"
        time.sleep(0.05)


def children(pid: int) -> list[int]:
    listed = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [int(child) for child in listed]


def test_the_task_of_a_killed_worker_is_finished_by_another(site: Site) -> None:
    site.run("ask", "build")
    site.start_worker()
    wait_until(lambda: site.notes("begun"), "the task's beginning")
    site.kill_worker()
    site.let_go()
    site.start_worker()
    wait_until(lambda: site.notes("ended"), "the task's end")
    assert len(site.notes("begun")) == 2
    assert site.notes("ended") == site.notes("begun")[1:]
    wait_until(lambda: site.jobs() == [["build", "done", 2]], "the job's end")


def test_a_killed_process_of_a_worker_costs_nothing_but_time(site: Site) -> None:
    site.run("ask", "build")
    site.start_worker()
    wait_until(lambda: site.notes("begun"), "the task's beginning")
    os.kill(site.notes("begun")[0], signal.SIGKILL)
    site.let_go()
    wait_until(lambda: site.notes("ended"), "the task's end")
    wait_until(lambda: site.jobs() == [["build", "done", 2]], "the job's end")


@pytest.mark.parametrize("place", range(3), ids=["worker", "monitor", "pusher"])
def test_a_process_killed_at_its_queue_does_not_stop_the_others(site: Site, place: int) -> None:
    main = site.start_worker()
    wait_until(lambda: children(main.pid), "the guard")
    guard = children(main.pid)[0]
    wait_until(lambda: len(children(guard)) == 3, "the three processes of the guard")
    time.sleep(0.3)
    os.kill(children(guard)[place], signal.SIGKILL)
    site.let_go()
    site.run("ask", "build")
    wait_until(lambda: site.notes("ended"), "the task's end")


def test_a_task_that_raises_is_tried_again(site: Site) -> None:
    site.run("ask", "stumble")
    site.start_worker()
    wait_until(lambda: site.jobs() == [["stumble", "done", 2]], "the job's end")


@pytest.mark.deep
def test_a_task_that_kills_its_process_is_given_up(site: Site) -> None:
    site.run("ask", "crash")
    site.start_worker()
    wait_until(lambda: site.jobs() == [["crash", "failed", 4]], "giving up", seconds=40)
    assert len(site.notes("begun")) == 4
    assert len(set(site.notes("begun"))) == 4


def test_a_worker_that_is_asked_to_stop_finishes_its_task(site: Site) -> None:
    site.run("ask", "build")
    worker = site.start_worker()
    wait_until(lambda: site.notes("begun"), "the task's beginning")
    worker.send_signal(signal.SIGTERM)
    time.sleep(0.3)
    site.let_go()
    assert worker.wait(timeout=20) == 0
    assert len(site.notes("ended")) == 1
