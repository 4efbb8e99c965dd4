"""How SQLite bears many writers, with the fair write lock and without, fast and safe.

    python benchmarks/write_lock.py

Two processes with eight threads each write for four seconds; each transaction reads the head of
a chain and adds two rows, as an audited step does.
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction

ROOT = Path(__file__).resolve().parents[1]
PROCESSES, THREADS, SECONDS = 2, 8, 4
ENGINES = {"fair lock": "academy.web.sqlite", "Django's own": "django.db.backends.sqlite3"}


def write_for_a_while(spent: list[float]) -> None:
    end = time.monotonic() + SECONDS
    while time.monotonic() < end:
        begun = time.perf_counter()
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("INSERT INTO line (body) VALUES (%s)", ["x" * 100])
            cursor.execute("SELECT max(id) FROM line")
            head = cursor.fetchone()[0]
            cursor.execute("INSERT INTO line (body) VALUES (%s)", [f"{head:>280}"])
        spent.append(time.perf_counter() - begun)
        time.sleep(0.0005)
    connection.close()


def writer(path: str, engine: str, synchronous: str) -> None:
    """One process of the site; prints the seconds of each transaction."""
    from academy.settings.env import database  # noqa: PLC0415  (found by PYTHONPATH)

    wanted: dict[str, Any] = dict(database(Path(path)))
    start = f"{wanted['OPTIONS']['init_command']}PRAGMA synchronous={synchronous};"
    wanted["OPTIONS"] = {**wanted["OPTIONS"], "init_command": start}
    settings.configure(DATABASES={"default": {**wanted, "ENGINE": engine}})
    settings.INSTALLED_APPS = []
    spent: list[float] = []
    threads = [threading.Thread(target=write_for_a_while, args=(spent,)) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print("\n".join(map(str, spent)))


def measure(engine: str, synchronous: str) -> list[float]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "writers.sqlite3"
        with sqlite3.connect(path) as plain:
            plain.execute("CREATE TABLE line (id INTEGER PRIMARY KEY, body TEXT)")
        plain.close()
        running = [
            subprocess.Popen(  # noqa: S603  (this file itself)
                [sys.executable, "-W", "ignore", __file__, str(path), engine, synchronous],
                stdout=subprocess.PIPE,
                text=True,
                env={"PYTHONPATH": str(ROOT)},
            )
            for _ in range(PROCESSES)
        ]
        return sorted(float(line) for one in running for line in one.communicate()[0].split())


def main() -> None:
    for label, engine in ENGINES.items():
        for synchronous in ("NORMAL", "FULL"):
            spent = measure(engine, synchronous)
            p50, p95 = spent[len(spent) // 2], spent[int(len(spent) * 0.95)]
            print(
                f"{label:13} {synchronous:7} {len(spent) / SECONDS:6.0f}/s  p50 {p50 * 1e3:5.1f}"
                f"  p95 {p95 * 1e3:5.1f}  worst {spent[-1] * 1e3:5.0f} ms"
            )


if __name__ == "__main__":
    if len(sys.argv) == 4:
        writer(*sys.argv[1:])
    else:
        main()
