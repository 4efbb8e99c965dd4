"""The one domain error of the curriculum."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.web.refused import Refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.curriculum.content import ModuleContent, Problem


class CurriculumError(Refused):
    """The curriculum refuses; `problems` says what is wrong with a module's content, and where."""

    def __init__(
        self, message: str, *, field: str | None = None, problems: Sequence[Problem] = ()
    ) -> None:
        super().__init__(message, field=field)
        self.problems = tuple(problems)


class StaleDraftError(CurriculumError):
    """Another window or person saved this part meanwhile; `now` is what stands."""

    def __init__(self, message: str, *, now: ModuleContent) -> None:
        super().__init__(message)
        self.now = now
