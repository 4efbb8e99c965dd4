"""One file for each exercise family; a new family is one file here and one line in ``FAMILIES``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from academy.craft.exercise.family import Family

FAMILIES: dict[tuple[str, int], Family[Any]] = {}
