"""What the record costs those who write: sixteen writers at once, with the entry and without.

    python benchmarks/record_writes.py [seconds a round] [rounds]

Two processes with eight threads each add a point of feedback to a head of one academy, through
its service: rules asked, one row, one entry, one commit. It is the smallest audited write there
is, so the entry weighs most in it. The same service is run with the entry left away, in turn with
the other, and the rates are divided. On SQLite in a file with the site's settings, and on
PostgreSQL where DATABASE_URL names a server (the database named is left alone: another is made).
Afterwards the chain is followed: one chain, no fork, no lost entry.
Wanted: no error, p95 under 50 ms, a ratio of at least 0.6.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from uuid import uuid4

ROOT = Path(__file__).resolve().parents[1]
PROCESSES, THREADS = 2, 8
SECONDS, ROUNDS = 2.0, 3
WITHOUT = "without"


def prepare() -> None:
    """An academy with one submitted head; prints the head's id."""
    import django  # noqa: PLC0415  (the settings are named first)

    django.setup()
    from django.core.management import call_command  # noqa: PLC0415

    from academy.people.models import Role  # noqa: PLC0415
    from tests.site import factories, making  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    academy = factories.AcademyFactory(slug="larkmere")
    people = {role: factories.PersonFactory() for role in Role}
    for role, person in people.items():
        factories.MembershipFactory(academy=academy, person=person, role=role)
    version = making.publish(academy, people[Role.EDUCATOR], "hygiene")
    head = making.judged_head(version, people[Role.ASSESSOR], people[Role.APPRENTICE])
    print(head.pk)


def write(head: int, what: str, begin: float, seconds: float) -> None:
    """One process of the site; prints the seconds of each write, and what went wrong."""
    import django  # noqa: PLC0415

    django.setup()
    from django.db import connection  # noqa: PLC0415

    from academy.assessment.models import Assessment  # noqa: PLC0415
    from academy.assessment.services import submitting  # noqa: PLC0415
    from tests.site.making import full_boxes  # noqa: PLC0415

    if what == WITHOUT:
        submitting.record = lambda **_: None  # type: ignore[assignment,return-value]
    boxes, spent, trouble = full_boxes(), [], []
    ready = threading.Barrier(THREADS)

    def one_writer() -> None:
        try:
            found = Assessment.objects.select_related("assessor").get(pk=head)
            ready.wait()
            time.sleep(max(0.0, begin - time.time()))
            while time.time() < begin + seconds:
                started = time.perf_counter()
                submitting.add_feedback(assessment=found, by=found.assessor, boxes=boxes)
                spent.append(time.perf_counter() - started)
        except Exception as error:  # noqa: BLE001  (told to the one who measures)
            trouble.append(repr(error))
        connection.close()

    running = [threading.Thread(target=one_writer) for _ in range(THREADS)]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join()
    print("\n".join([*(f"{one:.6f}" for one in spent), *(f"error {one}" for one in trouble)]))


def check() -> None:
    """Follow the chain; prints the entries, the rows they speak of, and the first wrong one."""
    import django  # noqa: PLC0415

    django.setup()
    from academy.assessment.models import Feedback  # noqa: PLC0415
    from academy.audit.models import Entry  # noqa: PLC0415
    from academy.audit.queries import chained_academies  # noqa: PLC0415
    from academy.audit.verifying import verify_chain  # noqa: PLC0415

    (academy,) = chained_academies()
    told = {e.details["feedback"] for e in Entry.objects.filter(action="assessment.feedback.added")}
    held = set(Feedback.objects.values_list("pk", flat=True))
    result = verify_chain(academy)
    print(f"{result.checked} entries, {len(told - held)} without a row, {result.broken or 'whole'}")


class Site:
    """A site in a database of its own."""

    def __init__(self, folder: str, url: str) -> None:
        self.environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "DJANGO_SETTINGS_MODULE": "academy.settings.dev",
            "BLOCKWORK_DATA": folder,
            "DATABASE_URL": url,
        }

    def start(self, *words: str) -> subprocess.Popen[str]:
        return subprocess.Popen(  # noqa: S603  (this file itself)
            [sys.executable, "-W", "ignore", __file__, *words],
            stdout=subprocess.PIPE,
            text=True,
            env=self.environment,
        )

    def answer(self, *words: str) -> str:
        running = self.start(*words)
        told = running.communicate()[0].strip()
        if running.returncode:
            raise SystemExit(f"{' '.join(words)} ended with {running.returncode}")
        return told.splitlines()[-1]

    def measure(self, head: str, what: str, seconds: float) -> tuple[list[float], list[str]]:
        begin = time.time() + 4
        words = ("write", head, what, str(begin), str(seconds))
        running = [self.start(*words) for _ in range(PROCESSES)]
        lines = [line for one in running for line in one.communicate()[0].splitlines()]
        trouble = [line for line in lines if line.startswith("error")]
        return sorted(float(line) for line in lines if line not in trouble), trouble


def compare(label: str, site: Site, seconds: float, rounds: int) -> None:
    head = site.answer("prepare")
    spent: dict[str, list[float]] = {WITHOUT: [], "with": []}
    errors = 0
    for _ in range(rounds):
        for what, times in spent.items():
            found, trouble = site.measure(head, what, seconds)
            spent[what] = times + found
            errors += len(trouble)
            for line in trouble:
                print(line)
    for what, times in spent.items():
        times.sort()
        p50, p95 = times[len(times) // 2] * 1e3, times[int(len(times) * 0.95)] * 1e3
        print(
            f"{label:10} {what:8} {len(times) / seconds / rounds:6.0f}/s  p50 {p50:5.1f}"
            f"  p95 {p95:5.1f}  worst {times[-1] * 1e3:5.0f} ms"
        )
    ratio = len(spent["with"]) / len(spent[WITHOUT])
    print(f"{label:10} with / without {ratio:.2f}, {errors} errors, {site.answer('check')}")


def on_postgresql(server: str, seconds: float, rounds: int) -> None:
    import psycopg  # noqa: PLC0415

    name = f"blockwork_bench_{uuid4().hex[:12]}"
    base, mark, options = server.partition("?")
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        try:
            with tempfile.TemporaryDirectory() as folder:
                url = base.rpartition("/")[0] + f"/{name}" + mark + options
                compare("PostgreSQL", Site(folder, url), seconds, rounds)
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def main(seconds: float = SECONDS, rounds: int = ROUNDS) -> None:
    with tempfile.TemporaryDirectory() as folder:
        compare("SQLite", Site(folder, ""), seconds, rounds)
    if server := os.environ.get("DATABASE_URL", ""):
        on_postgresql(server, seconds, rounds)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["prepare"]:
            prepare()
        case ["write", head, what, begin, seconds]:
            write(int(head), what, float(begin), float(seconds))
        case ["check"]:
            check()
        case [*numbers]:
            main(*(kind(number) for kind, number in zip((float, int), numbers, strict=False)))
