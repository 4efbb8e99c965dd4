"""The task queue: django-q2 with its ORM broker, so SQLite and PostgreSQL both carry it."""

from __future__ import annotations

from typing import Any

# `retry` must exceed `timeout`: only a task whose worker died is given to another.
Q_CLUSTER: dict[str, Any] = {
    "name": "blockwork",
    "orm": "default",
    "workers": 1,
    "timeout": 300,
    "retry": 360,
    "max_attempts": 3,
    "ack_failures": True,
    "catch_up": False,
    "poll": 0.5,
    "bulk": 1,
    "save_limit": 1000,
}
