"""Typed reading of environment variables: a wrong value stops the start with a sentence."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

if TYPE_CHECKING:
    from pathlib import Path


def text(name: str, default: str = "") -> str:
    return os.environ.get(name, default)


def flag(name: str, *, default: bool = False) -> bool:
    """True for 1/true/yes/on, False for 0/false/no/off or empty."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    if raw.lower() in {"1", "true", "yes", "on"}:
        return True
    if raw.lower() in {"0", "false", "no", "off", ""}:
        return False
    raise ImproperlyConfigured(f"{name} is {raw!r}. Use 1 or 0.")


def number(name: str, default: int) -> int:
    raw = os.environ.get(name)
    if raw is None:
        return default
    try:
        return int(raw)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} is {raw!r}. Give a whole number.") from error


def words(name: str) -> list[str]:
    """A list parted by commas."""
    return [word.strip() for word in os.environ.get(name, "").split(",") if word.strip()]


def database(default_sqlite: Path) -> dict[str, object]:
    """The default database: SQLite beside the site, or PostgreSQL by `DATABASE_URL`.

    The SQLite settings are the measured ones (docs/running.md): WAL, immediate
    transactions, a busy timeout, and a fair write lock in `academy.web.sqlite`.
    """
    url = os.environ.get("DATABASE_URL", "")
    if not url:
        return {
            "ENGINE": "academy.web.sqlite",
            "NAME": default_sqlite,
            "CONN_MAX_AGE": None,
            "OPTIONS": {
                "transaction_mode": "IMMEDIATE",
                "timeout": 20,
                "init_command": SQLITE_START,
            },
        }
    parts = urlsplit(url)
    if parts.scheme not in {"postgres", "postgresql"}:
        raise ImproperlyConfigured(
            "DATABASE_URL must begin with postgres://, for example postgres://user@host/name."
        )
    return {
        "ENGINE": "academy.web.postgresql",
        "NAME": unquote(parts.path.lstrip("/")),
        "USER": unquote(parts.username or ""),
        "PASSWORD": unquote(parts.password or ""),
        "HOST": parts.hostname or "",
        "PORT": parts.port or "",
        "OPTIONS": {
            **dict(parse_qsl(parts.query)),
            "pool": {"min_size": 1, "max_size": number("DATABASE_POOL", 8), "timeout": 20},
        },
    }


SQLITE_START = (
    "PRAGMA journal_mode=WAL;PRAGMA synchronous=NORMAL;PRAGMA mmap_size=134217728;"
    "PRAGMA journal_size_limit=27103364;PRAGMA wal_autocheckpoint=6000;"
    "PRAGMA cache_size=-20000;PRAGMA temp_store=MEMORY;"
    "PRAGMA recursive_triggers=ON;"
)
