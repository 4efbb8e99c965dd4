"""A small site of its own for test_worker_kill: `background.py FOLDER migrate|ask|work|show`."""

# Django can only be imported once it has its settings.
# ruff: noqa: PLC0415, T201
from __future__ import annotations

import json
import os
import signal
import sys
import time
from pathlib import Path

FOLDER = Path(sys.argv[1])


def build(name: str) -> None:
    """A task that notes its beginning, waits until it is let go, and notes its end."""
    note(f"begun {name} {os.getpid()}")
    while not (FOLDER / "let-go").exists():
        time.sleep(0.02)
    note(f"ended {name} {os.getpid()}")


def stumble(name: str) -> None:
    """A task that raises the first time and is right the second time."""
    note(f"begun {name} {os.getpid()}")
    if not (FOLDER / "stumbled").exists():
        (FOLDER / "stumbled").touch()
        raise ValueError("not ready yet")
    note(f"ended {name} {os.getpid()}")


def crash(name: str) -> None:
    """A task that takes its process down as a fault in a C library does."""
    note(f"begun {name} {os.getpid()}")
    os.kill(os.getpid(), signal.SIGSEGV)


def note(line: str) -> None:
    with (FOLDER / "notes").open("a") as notes:
        notes.write(line + "\n")


def configure() -> None:
    import django
    from django.conf import settings

    from academy.settings.env import database
    from academy.settings.queue import Q_CLUSTER

    short = {"timeout": 2, "retry": 3, "poll": 0.05, "guard_cycle": 0.1, "workers": 1}
    settings.configure(
        SECRET_KEY="only-for-tests",
        INSTALLED_APPS=["django.contrib.contenttypes", "django_q", "academy.web"],
        DATABASES={"default": database(FOLDER / "blockwork.sqlite3")},
        CACHES={"worker": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}},
        DEFAULT_AUTO_FIELD="django.db.models.BigAutoField",
        USE_TZ=True,
        Q_CLUSTER={**Q_CLUSTER, **short},
    )
    django.setup()


def main() -> None:
    configure()
    from django.core.management import call_command

    from academy.web import tasks
    from academy.web.models import Job

    tasks.PAUSES = (0, 0, 0)
    match sys.argv[2:]:
        case ["migrate"]:
            call_command("migrate", verbosity=0)
        case ["ask", task]:
            tasks.enqueue(f"background.{task}", task, key=task)
        case ["work"]:
            call_command("worker")
        case ["show"]:
            print(json.dumps(list(Job.objects.values_list("key", "state", "attempts"))))


if __name__ == "__main__":
    main()
