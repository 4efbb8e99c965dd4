"""What a clock of one head is given: foils in laying order and the educator's figures.

Figures are minutes; clock times are minutes after midnight and may run past it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from academy.craft.measure import MINUTES_IN_A_DAY, shown
from academy.craft.timing.errors import TimingError
from academy.craft.timing.two_process import TwoProcess

_NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class LaidFoil:
    """One foil, in laying order; ``section`` and ``zone`` as people say them.

    Foils with the same ``parting`` lie on the same parting.
    """

    number: int
    parting: int
    section: str
    zone: str

    @property
    def where(self) -> str:
        """Where it lies, "strip, top"; a place that has one word is said once."""
        return ", ".join(dict.fromkeys(word for word in (self.section, self.zone) if word))


@dataclass(frozen=True, slots=True)
class RootColour:
    """Root colour before the foils.

    ``application`` is what putting it on takes, ``minutes`` what it develops until its check,
    ``ceiling`` what it may have at most. Both count from the end of application, on a label that
    says so ``from_start``: then the strand coloured first has the ceiling. ``partings`` are those
    the application is spread over, 0 where it is not followed parting by parting.
    """

    application: Decimal
    minutes: Decimal
    ceiling: Decimal
    from_start: bool = False
    partings: int = 0


@dataclass(frozen=True, slots=True)
class ClockSettings:
    """The educator's figures; ``TimingError`` where no clock can hold them.

    ``starts_at`` is when the root colour starts, without roots when the first foil is begun.
    ``pace`` is minutes a foil, ``foil_check_after`` the first look after the first foil is closed,
    ``foil_least`` and ``foil_ceiling_after`` what each foil needs and may have, from its closing.
    ``change_over`` lies between the roots and the foils; without roots there is none.
    """

    starts_at: Decimal
    pace: Decimal
    foil_check_after: Decimal
    foil_least: Decimal
    foil_ceiling_after: Decimal
    change_over: Decimal = _NONE
    roots: RootColour | None = None

    def __post_init__(self) -> None:
        """Refuse what no clock can hold."""
        for words, figure in self._figures():
            if not figure.is_finite() or figure < 0:
                raise TimingError(f"{words} is a number of minutes, 0 or more, for example 12.")
        if self.starts_at >= MINUTES_IN_A_DAY:
            raise TimingError("The start is a time of day, for example 09:15.")
        if self.pace == 0:
            raise TimingError("A foil takes some time: give a pace above zero, for example 2.5.")
        self._fits("A foil needs", self.foil_least, self.foil_ceiling_after)
        self._fits("The first look comes after", self.foil_check_after, self.foil_ceiling_after)
        if self.roots is None:
            return
        self._fits("The root colour develops", self.roots.minutes, self.roots.ceiling)
        if self.roots.partings < 0:
            raise TimingError("The partings of the root colour cannot be below zero.")

    def _figures(self) -> tuple[tuple[str, Decimal], ...]:
        foils = (
            ("The start", self.starts_at),
            ("The pace", self.pace),
            ("The first look at the foils", self.foil_check_after),
            ("The least time of a foil", self.foil_least),
            ("The ceiling of a foil", self.foil_ceiling_after),
            ("The change of gloves and comb", self.change_over),
        )
        if self.roots is None:
            return foils
        return (
            *foils,
            ("The application of the root colour", self.roots.application),
            ("The time the root colour develops", self.roots.minutes),
            ("The ceiling of the root colour", self.roots.ceiling),
        )

    @staticmethod
    def _fits(words: str, figure: Decimal, ceiling: Decimal) -> None:
        if figure > ceiling:
            raise TimingError(
                f"{words} {shown(figure)} min, past its ceiling of {shown(ceiling)} min. "
                "Shorten it, or read the label again."
            )

    def sums(self, foils: int) -> TwoProcess:
        """The times of so many foils; ``TimingError`` without a foil.

        Foils alone are the same sum beside roots that take no time and may stay on as long as the
        first foil: such roots decide nothing.
        """
        roots = self.roots or RootColour(_NONE, _NONE, self.pace + self.foil_ceiling_after)
        return TwoProcess(
            starts_at=self.starts_at,
            application=roots.application,
            root_minutes=roots.minutes,
            root_ceiling=roots.ceiling,
            change_over=self.change_over if self.roots else _NONE,
            foils=Decimal(foils),
            pace=self.pace,
            foil_check_after=self.foil_check_after,
            foil_least=self.foil_least,
            foil_ceiling_after=self.foil_ceiling_after,
            from_start=roots.from_start,
        )

    def at_pace(self, pace: Decimal) -> ClockSettings:
        """The same at another pace."""
        return replace(self, pace=pace)

    def later(self, by: Decimal) -> ClockSettings:
        """The same with the foils begun so many minutes later."""
        return replace(self, change_over=self.change_over + by)
