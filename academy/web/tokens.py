"""Random 128-bit names for rows in addresses: 22 characters, nothing to guess, nothing personal."""

from __future__ import annotations

import secrets

from django.db import models

TOKEN_PATTERN = "[A-Za-z0-9_-]{22}"  # noqa: S105


def new_token() -> str:
    return secrets.token_urlsafe(16)


class TokenField(models.CharField[str, str]):
    """A row's outside name."""

    def __init__(self, **options: object) -> None:
        defaults = {"max_length": 22, "unique": True, "default": new_token, "editable": False}
        super().__init__(**{**defaults, **options})  # type: ignore[arg-type]


class TokenConverter:
    """`<token:name>` in url patterns."""

    regex = TOKEN_PATTERN

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value
