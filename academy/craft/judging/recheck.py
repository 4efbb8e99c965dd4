"""Deciding again from what is stored with an outcome, and comparing the bytes."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from academy.craft.judging.stored import Values, recomputed

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass(frozen=True, slots=True)
class Recheck:
    """What deciding again gave: the number of bytes compared, and where they differ.

    `differences` are (path, stored, computed now), for example ("outcome.by_marks", …).
    """

    size: int
    differences: tuple[tuple[str, str, str], ...]

    @property
    def same(self) -> bool:
        return not self.differences


def recheck(values: Values) -> Recheck:
    """Decide again from stored values and compare byte for byte, keys in order.

    Raises `JudgingError` where the values are no stored outcome, or of another version.
    """
    again = recomputed(values)
    kept, fresh = _bytes(values), _bytes(again)
    found = () if kept == fresh else tuple(_differences("", values, again))
    return Recheck(len(kept), found)


def _bytes(values: Any) -> bytes:
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def _differences(path: str, old: Any, new: Any) -> Iterator[tuple[str, str, str]]:
    if _bytes(old) == _bytes(new):
        return
    if isinstance(old, dict) and isinstance(new, dict):
        for key in sorted({*old, *new}):
            yield from _differences(f"{path}.{key}".lstrip("."), old.get(key), new.get(key))
    else:
        yield path, _bytes(old).decode(), _bytes(new).decode()
