"""The task queue: django-q2 with its ORM broker, so SQLite and PostgreSQL both carry it.

What was proved about it, and why these values, is in docs/running.md.
"""

from __future__ import annotations

from typing import Any

from academy.settings import env

# A task that takes longer is ended and tried again: give long work out in batches.
TASK_SECONDS = env.number("TASK_SECONDS", 120)

Q_CLUSTER: dict[str, Any] = {
    "name": "blockwork",
    "orm": "default",
    "workers": env.number("TASK_WORKERS", 2),
    "timeout": TASK_SECONDS,
    # The worker is ended three seconds after the timeout at the latest; only a task whose
    # worker died is left in the queue for so long, and then it goes to another worker.
    "retry": TASK_SECONDS + 30,
    # One task at most waits inside a cluster, where its time to the next retry already runs.
    "queue_limit": 1,
    "bulk": 1,
    "poll": 0.5,
    "guard_cycle": 1,
    # A night that was missed is not made up for seven times on Monday morning.
    "catch_up": False,
    # Jobs keep their own record (academy.web.models.Job) and count their own attempts.
    "max_attempts": 0,
    "save_limit": 100,
    # The cluster notes its state every second: in its own memory, not in the database cache.
    "cache": "worker",
    "log_level": "WARNING",
}
