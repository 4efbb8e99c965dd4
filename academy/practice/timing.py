"""How long a product may stay on the hair, by the rules that hold: for the strand checks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from academy.craft.rules import standard_rules

if TYPE_CHECKING:
    from academy.craft.rules import Rules

# What may lie on the hair while a strand is looked at, in the words of the page.
PROCESSES = {
    "permanent": "Permanent colour, no white hair",
    "permanent_white_normal": "Permanent colour on white hair",
    "permanent_white_resistant": "Permanent colour on resistant white hair",
    "high_lift": "High-lift colour",
    "quasi": "Quasi-permanent colour",
    "semi": "Semi-permanent colour",
    "gloss": "Gloss",
    "lightener_foils": "Lightener in foils",
    "lightener_scalp": "Lightener on the scalp",
}


@dataclass(frozen=True)
class Timing:
    """The times of one process in minutes from the end of application; None where no rule says.

    `step` is what one extension adds: the rule's extension, else its time between checks.
    `says` is the ceiling with who decided it.
    """

    process: str
    first_check: int | None
    check_every: int | None
    step: int | None
    ceiling: int
    says: str

    @property
    def words(self) -> str:
        return PROCESSES[self.process]

    def fits(self, minute: int, *, extend: bool) -> bool:
        """Whether a check at this minute, and the extension decided there, keep the ceiling."""
        return minute + (self.step or 0 if extend else 0) <= self.ceiling

    @property
    def kept(self) -> dict[str, Any]:
        """What is written down with a session, so that it reads the same after a new rule."""
        return {
            "process": self.process,
            "ceiling": self.ceiling,
            "step": self.step,
            "says": self.says,
        }


def timing_of(rules: Rules, process: str) -> Timing:
    """The times of a process under these rules; KeyError for a process that is not known."""
    if process not in PROCESSES:
        raise KeyError(process)
    ceiling = rules.decide("development", process=process, what="ceiling")
    check_every = _minutes(rules, process, "check_every")
    return Timing(
        process=process,
        first_check=_minutes(rules, process, "first_check"),
        check_every=check_every,
        step=_minutes(rules, process, "extension") or check_every,
        ceiling=int(ceiling.number),
        says=ceiling.sentence,
    )


def all_timings(rules: Rules) -> list[Timing]:
    return [timing_of(rules, process) for process in PROCESSES]


def longest(rules: Rules) -> Timing:
    """The latest ceiling of any process: it holds where nobody says what was on the hair."""
    return max(all_timings(rules), key=lambda timing: timing.ceiling)


def _minutes(rules: Rules, process: str, what: str) -> int | None:
    if f"development.{process}.{what}" not in standard_rules().rules:
        return None
    return int(rules.number("development", process=process, what=what))
