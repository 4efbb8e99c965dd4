"""A scene at a strand check, and what each process in it comes to."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from academy.craft.timing.strand import StrandCheck

NORMAL, RESISTANT = "permanent_white_normal", "permanent_white_resistant"
COLOURS = (NORMAL, RESISTANT)
FOILS = "lightener_foils"
DOING = {
    NORMAL: "covering white hair",
    RESISTANT: "covering resistant white hair",
    FOILS: "lightening hair in foils",
}
PROCESSES = {
    NORMAL: "colour on white hair",
    RESISTANT: "colour on resistant white hair",
    FOILS: "lightener in foils",
}

COVERED, TRANSLUCENT, AT_TARGET, NOT_YET = (
    "covered",
    "translucent",
    "at target",
    "not yet at target",
)
GOOD, STAYS, BREAKS = "stretches and returns", "stretches and stays", "breaks"
CALM, TINGLES, BURNS = "calm", "tingles", "burns"
FIRST, LAST = "first", "last"


@dataclass(frozen=True, slots=True)
class Scene:
    """What is found, in words; times in minutes after midnight. ``foil_…`` is the second process.

    ``ceiling`` and ``step`` are the rules' values in minutes, ``…_rule`` says who decided them;
    ``step_shown`` where the house has changed the step.
    """

    level: str
    now: int
    scalp: str
    process: str
    ended: int
    look: str
    strand: str
    place: str
    wiped: bool
    ceiling: Decimal
    ceiling_rule: str
    step: Decimal
    step_shown: bool
    foil_ended: int = 0
    foil_look: str = ""
    foil_strand: str = ""
    foil_place: str = ""
    foil_wiped: bool = False
    foil_ceiling: Decimal = Decimal(0)
    foil_ceiling_rule: str = ""
    foil_step: Decimal = Decimal(0)
    foil_step_shown: bool = False

    @property
    def sides(self) -> tuple[Side, ...]:
        """The processes of the scene: one, at level exam the roots and the foils."""
        if not self.foil_look:
            return (self._side("", self.process, ""),)
        return self._side("roots", self.process, ""), self._side("foils", FOILS, "foil_")

    def _side(self, name: str, process: str, prefix: str) -> Side:
        found = {own: getattr(self, prefix + own) for own in _OF_A_SIDE}
        return Side(name=name, process=process, now=self.now, scalp=self.scalp, **found)


@dataclass(frozen=True)
class Side:
    """One process of a scene; ``name`` is empty where it is the only one."""

    name: str
    process: str
    now: int
    scalp: str
    ended: int
    look: str
    strand: str
    place: str
    wiped: bool
    ceiling: Decimal
    ceiling_rule: str
    step: Decimal
    step_shown: bool

    @property
    def right_place(self) -> str:
        """Colour is looked at where it was applied last, lightener in the foil closed first."""
        return FIRST if self.process == FOILS else LAST

    @property
    def where(self) -> str:
        """The place that was looked at."""
        if self.process == FOILS:
            return f"the foil that closed {self.place}"
        return f"the place applied {self.place}"

    @cached_property
    def check(self) -> StrandCheck:
        """What was found, as the decision takes it."""
        return StrandCheck(
            ended=Decimal(self.ended),
            now=Decimal(self.now),
            ceiling=self.ceiling,
            step=self.step,
            harmed=self.scalp == BURNS or self.strand != GOOD,
            valid=self.wiped and self.place == self.right_place,
            reached=self.look in {COVERED, AT_TARGET},
        )

    def field(self, key: str) -> str:
        """The key of one of its fields."""
        return f"{self.name}_{key}" if self.name else key

    def label(self, words: str) -> str:
        """Words with the process before them, where there are two."""
        return f"{self.name.capitalize()}, {words[0].lower()}{words[1:]}" if self.name else words


_OF_A_SIDE = (
    "ended",
    "look",
    "strand",
    "place",
    "wiped",
    "ceiling",
    "ceiling_rule",
    "step",
    "step_shown",
)
