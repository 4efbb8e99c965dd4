"""Canonical JSON (RFC 8785) for the part of JSON that has only one spelling in every program.

Allowed: str, int below 2^53, bool, None, list, and dict with string keys. Numbers with a
fraction are refused: write a decimal as a string, `"64.5"`. In this subset the encoder of the
standard library, with sorted keys and no spaces, writes exactly what RFC 8785 asks for.
"""

from __future__ import annotations

import json
from typing import Final, TypeAlias

from academy.craft.proof.errors import ProofError

Json: TypeAlias = "str | int | bool | list[Json] | dict[str, Json] | None"

MAX_INTEGER: Final = 2**53 - 1
MAX_DEPTH: Final = 32
_LAST_OF_BASIC_PLANE: Final = "\uffff"

_encoder = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"), check_circular=False
)


def canonical(value: object) -> bytes:
    """The RFC 8785 bytes (UTF-8) of a value; `ProofError` for what lies outside the subset."""
    _check(value, "the value", 0)
    return _encoder.encode(value).encode()


def parse(data: bytes) -> Json:
    """The value that these bytes are the canonical form of; `ProofError` where they are not."""
    try:
        value: Json = json.loads(data)
        again = canonical(value)
    except (ValueError, RecursionError) as error:
        raise ProofError(f"These bytes are not canonical JSON: {error}") from error
    if again != data:
        raise ProofError("These bytes are JSON, but not in the canonical spelling.")
    return value


def _check(value: object, where: str, depth: int) -> None:
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, str):
        _check_text(value, where)
    elif isinstance(value, int):
        if abs(value) > MAX_INTEGER:
            raise ProofError(f"{where} is {value}, beyond 2^53 - 1. Write it as a string.")
    elif isinstance(value, list | dict):
        _check_inside(value, where, depth)
    else:
        kind = type(value).__name__
        raise ProofError(
            f"{where} is a {kind}. Use text, whole numbers, true, false, nothing, "
            'lists and dictionaries; write a decimal as a string, such as "12.5".'
        )


def _check_inside(value: list[object] | dict[object, object], where: str, depth: int) -> None:
    if depth >= MAX_DEPTH:
        raise ProofError(f"{where} is nested more than {MAX_DEPTH} deep.")
    if isinstance(value, list):
        for number, item in enumerate(value):
            _check(item, f"{where}[{number}]", depth + 1)
        return
    for key, item in value.items():
        if not isinstance(key, str):
            raise ProofError(f"{where} has the key {key!r}. Keys must be strings.")
        _check_text(key, f"a key of {where}")
        # RFC 8785 sorts by UTF-16 units, Python by code points: they part only up there.
        if any(letter > _LAST_OF_BASIC_PLANE for letter in key):
            raise ProofError(f"{where} has a key with a character beyond U+FFFF: {key!r}.")
        _check(item, f"{where}.{key}", depth + 1)


def _check_text(text: str, where: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise ProofError(f"{where} holds half a character (a lone surrogate).") from error
