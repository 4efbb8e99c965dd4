"""One service, thrown, and the rules that are resolved for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import label_named, label_or_cream
from academy.craft.exercise.family import Dice, Drawn
from academy.craft.exercise.question import Level
from academy.craft.formula.white_hair import Resistance
from academy.craft.measure import MINUTES_IN_A_DAY
from academy.craft.timing import TwoProcess

if TYPE_CHECKING:
    from academy.craft.rules import Decided, Rules

EARLIEST_START, LATEST_START = 9 * 60, 16 * 60
APPLICATIONS = (15, 20, 25)
FOILS = (Decimal(6), Decimal(8), Decimal(10), Decimal(12), Decimal(14))
PACES = (Decimal(2), Decimal(3))
PACKETS = [(foils, pace) for foils in FOILS for pace in PACES]
MOST_EXTENSIONS = 3
REFUSED_IN_TEN = 3
LABEL_KINDS = ("permanent", "lightener_foils")
"""Labels that speak to the roots or to the foils."""

FOIL_PROCESS = "lightener_foils"


@dataclass(frozen=True, slots=True)
class Service(TwoProcess):
    """A plan as it is asked for.

    At level exam ``rounds`` extensions of ``extension`` minutes are what the roots still need at
    their check; at the other levels there are none.
    """

    level: str = ""
    resistance: str = Resistance.NORMAL.value
    label: str = ""
    rounds: int = 0
    extension: Decimal = Decimal(0)

    @property
    def more(self) -> Decimal:
        """Minutes that the roots still need at their check."""
        return self.rounds * self.extension

    @property
    def longer(self) -> TwoProcess:
        """The plan with those minutes added."""
        return self.extended(self.more)


def throw_service(dice: Dice, level: Level, rules: Rules) -> Drawn[Service] | None:
    """A start and an application, then foils that fit or, in some exam questions, do not."""
    exam = level is Level.EXAM
    refused = exam and dice.whole(1, 10) <= REFUSED_IN_TEN
    thrown = throw_roots(dice, level, rules, rounds=dice.whole(1, MOST_EXTENSIONS) if exam else 0)
    if thrown is None:
        return None
    packets = PACKETS
    if level is not Level.FIRST:
        packets = _packets(thrown.parameters, refused=refused)
    return with_foils(thrown, *dice.pick(packets)) if packets else None


def throw_roots(
    dice: Dice, level: Level, rules: Rules, *, rounds: int = 0
) -> Drawn[Service] | None:
    """Start, application and hair, at level exam under a label; the foils are still to choose."""
    label = label_or_cream(dice, rules, *LABEL_KINDS) if level is Level.EXAM else None
    return settled(
        level,
        rules.with_label(label),
        starts_at=Decimal(dice.whole(EARLIEST_START, LATEST_START, 5)),
        application=Decimal(dice.pick(APPLICATIONS)),
        resistance=dice.pick(tuple(Resistance)).value,
        rounds=rounds,
    )


def with_foils(thrown: Drawn[Service], foils: Decimal, pace: Decimal) -> Drawn[Service] | None:
    """The service with so many foils at this pace; None where that ends after midnight."""
    service = replace(thrown.parameters, foils=foils, pace=pace)
    last = max(service.root_latest, service.foil_ceiling, service.longer.earliest)
    late = max(last, service.last_closed + service.root_minutes) >= MINUTES_IN_A_DAY
    return None if late else replace(thrown, parameters=service)


def settled(
    level: Level,
    rules: Rules,
    *,
    starts_at: Decimal,
    application: Decimal,
    resistance: str,
    foils: Decimal = FOILS[0],
    pace: Decimal = PACES[0],
    rounds: int = 0,
) -> Drawn[Service] | None:
    """The service under these rules; None where a rule gives no whole minutes."""
    process = Resistance(resistance).process
    root = rules.decide("development", process=process, what="minutes")
    ceiling = rules.decide("development", process=process, what="ceiling")
    change = rules.decide("two_process", what="change_over")
    check = rules.decide("development", process=FOIL_PROCESS, what="first_check")
    least = rules.decide("two_process", what="foil_least")
    most = rules.decide("development", process=FOIL_PROCESS, what="ceiling")
    longer = rules.decide("development", process=process, what="extension")
    decided: tuple[Decided, ...] = (root, ceiling)
    if level is not Level.FIRST:
        decided += (change, check, least, most)
    if rounds:
        decided += (longer,)
    if any(found.number != int(found.number) for found in decided):
        return None
    service = Service(
        starts_at=starts_at,
        application=application,
        root_minutes=root.number,
        root_ceiling=ceiling.number,
        change_over=change.number,
        foils=foils,
        pace=pace,
        foil_check_after=check.number,
        foil_least=least.number,
        foil_ceiling_after=most.number,
        from_start=rules.label is not None and rules.label.counts_from_start,
        level=str(level),
        resistance=resistance,
        label=rules.label.name if rules.label is not None else "",
        rounds=rounds,
        extension=longer.number if rounds else Decimal(0),
    )
    return Drawn(service, decided)


def settled_anew(drawn: Service, rules: Rules) -> Drawn[Service] | None:
    """The same service under other rules, at level exam beside the same label."""
    label = label_named(drawn.label, rules) if drawn.label else None
    return settled(
        Level(drawn.level),
        rules.with_label(label),
        starts_at=drawn.starts_at,
        application=drawn.application,
        resistance=drawn.resistance,
        foils=drawn.foils,
        pace=drawn.pace,
        rounds=drawn.rounds,
    )


def _packets(service: Service, *, refused: bool) -> list[tuple[Decimal, Decimal]]:
    """The foils and paces with which all can be rinsed together, or with which it cannot."""
    found = []
    for pace in PACES:
        tried = replace(service, pace=pace)
        most = tried.most_foils if tried.root_check <= tried.latest else Decimal(0)
        if most >= 1:
            found += [(foils, pace) for foils in FOILS if (foils > most) is refused]
    return found
