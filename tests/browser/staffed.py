"""The academies that were made behind the scenes, by slug; in the process of the stage only."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.site.world import Staffed

STAFFED: dict[str, Staffed] = {}
