"""What the clock of a head advises: the reserve where all fits, or what would make it fit.

Each figure is tried on the same sums before it is said, and nothing passes a ceiling. The ways out
are those of a two-process plan: fewer foils, a quicker pace, foils begun later, foils opened
singly, roots rinsed first. Common practice, no source; where lightener is begun (darkest or most
resistant first) is published in an open level 2 textbook.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from typing import TYPE_CHECKING

from academy.craft.timing.telling import (
    how_many_foils,
    told,
    told_between,
    told_limit,
    told_minutes,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.timing.head_clock import HeadClock
    from academy.craft.timing.head_settings import RootColour

LABEL_FIRST = (
    "The longest time on the product label counts before this plan. Never go past it: rinse, and "
    "plan another way."
)
NOT_THE_HAIR = (
    "This plan is for training and does not know the hair. Look at strands; stop and rinse where "
    "skin burns or hair stretches, breaks or swells."
)
_TENTH = Decimal("0.1")


def advice_of(clock: HeadClock) -> tuple[str, ...]:
    """Sentences, the first one saying whether all can be rinsed together."""
    found = _reserve(clock) if clock.possible else _ways_out(clock)
    return (*found, *_order(clock))


def cautions_of(clock: HeadClock) -> tuple[str, ...]:
    """What holds beside every plan; roots that have been on longer than their clock says."""
    roots = clock.settings.roots
    return (
        LABEL_FIRST,
        *(_first_strand(roots) if roots else ()),
        "Each foil has its own clock, and the first one closed reaches the ceiling first.",
        NOT_THE_HAIR,
    )


def _first_strand(roots: RootColour) -> Iterator[str]:
    if roots.from_start:
        yield (
            "On this label the roots’ time counts from the start of application: the strand "
            "coloured first reaches the ceiling first."
        )
    elif roots.application:
        yield (
            "The roots’ time counts from the end of application: the strand coloured first has "
            f"had it up to {told_minutes(roots.application)} longer. Read on the label from where "
            "its time counts."
        )


def most_foils_together(clock: HeadClock) -> Decimal:
    """How many foils at this pace can be rinsed together, with the roots where there are some."""
    return clock.sums.most_foils if clock.sums.root_check <= clock.latest else Decimal(0)


def slowest_pace(clock: HeadClock) -> Decimal | None:
    """Minutes a foil, in tenths, at which these foils just fit together.

    None where no pace makes them fit, and where any would.
    """
    sums = clock.sums
    rooms = []
    if sums.foils > 1:
        rooms.append((sums.foil_ceiling_after - sums.foil_least) / (sums.foils - 1))
    if clock.settings.roots:
        rooms.append((sums.root_latest - sums.foil_least - sums.foils_start) / sums.foils)
    if not rooms:
        return None
    pace = min(rooms).quantize(_TENTH, ROUND_FLOOR)
    if pace <= 0:
        return None
    tried = clock.settings.at_pace(pace).sums(len(clock.foils))
    return pace if tried.possible else None


def _reserve(clock: HeadClock) -> Iterator[str]:
    all_of_it = "Roots and foils" if clock.settings.roots else "All foils"
    when = told_between(clock.earliest, clock.latest)
    reserve = told_minutes(clock.window) if clock.window else "nothing"
    yield f"{all_of_it} can be rinsed together {when}: {reserve} in reserve."
    if len(clock.foils) > 1:
        then = clock.at_earliest
        yield (
            f"At the earliest rinse foil {clock.first.number} has had {told_minutes(then.first)} "
            f"and foil {clock.last.number} {told_minutes(then.last)}: {told_minutes(then.spread)} "
            "between them."
        )
    pace = slowest_pace(clock)
    if pace is not None and pace > clock.settings.pace:
        yield f"It still fits at {told_minutes(pace)} a foil."
    more = most_foils_together(clock) - len(clock.foils)
    if more >= 1:
        yield f"At this pace {how_many_foils(more)} more would fit."


def _ways_out(clock: HeadClock) -> Iterator[str]:
    yield "They cannot all be rinsed together."
    yield from _reasons(clock)
    yield from _fewer(clock)
    yield from _quicker(clock)
    yield from _later(clock)
    yield from _singly(clock)


def _reasons(clock: HeadClock) -> Iterator[str]:
    """Which later time is past which ceiling."""
    sums, first, last = clock.sums, clock.first, clock.last
    foil_out = f"foil {first.number} must be out by {told_limit(sums.foil_ceiling)}"
    ready = f"Foil {last.number} is ready at {told(sums.foils_ready)}"
    pairs = [(ready, sums.foils_ready, foil_out, sums.foil_ceiling)]
    if clock.settings.roots:
        roots_out = f"the roots must be out by {told_limit(sums.root_latest)}"
        looked = f"The roots are looked at at {told(sums.root_check)}"
        pairs += [
            (ready, sums.foils_ready, roots_out, sums.root_latest),
            (looked, sums.root_check, foil_out, sums.foil_ceiling),
        ]
    for what, at, out, ceiling in pairs:
        if at > ceiling:
            yield f"{what}, but {out}, {told_minutes(at - ceiling)} before."


def _fewer(clock: HeadClock) -> Iterator[str]:
    most = most_foils_together(clock)
    if 1 <= most < len(clock.foils):
        yield (
            f"At {told_minutes(clock.settings.pace)} a foil, {how_many_foils(most)} can be rinsed "
            f"together, {len(clock.foils) - most} fewer."
        )


def _quicker(clock: HeadClock) -> Iterator[str]:
    pace, planned = slowest_pace(clock), clock.settings.pace
    if pace is not None and pace < planned:
        yield (
            f"To rinse all {how_many_foils(len(clock.foils))} together, each may take "
            f"{told_minutes(pace)} at most; planned are {told_minutes(planned)}."
        )


def _later(clock: HeadClock) -> Iterator[str]:
    """Foils begun so much later that the roots do not keep the first one in too long."""
    by = clock.sums.root_check - clock.sums.foil_ceiling
    if clock.settings.roots is None or by <= 0:
        return
    tried = clock.settings.later(by).sums(len(clock.foils))
    if tried.possible:
        yield (
            f"Begun {told_minutes(by)} later, at {told(tried.foils_start)}, the foils can be "
            f"rinsed with the roots {told_between(tried.earliest, tried.latest)}."
        )


def _singly(clock: HeadClock) -> Iterator[str]:
    first, last = clock.first, clock.last
    each = f"foil {first.number} {told_between(first.ready, first.out_by)}"
    if last is not first:
        each += f", foil {last.number} {told_between(last.ready, last.out_by)}"
    yield (f"Or open foils singly in laying order, each when it has reached its target: {each}.")
    closed = sum(foil.closed <= first.out_by for foil in clock.foils)
    if closed < len(clock.foils):
        yield (
            f"At {told_limit(first.out_by)}, when foil {first.number} must be out, only {closed} "
            f"of {len(clock.foils)} are closed: opening foils takes time from laying, and those "
            "still to come are later than planned here."
        )
    if clock.settings.roots and clock.sums.foils_ready > clock.sums.root_latest:
        yield (
            f"Or rinse the roots first, by {told_limit(clock.sums.root_latest)}, with the foils "
            "closed and covered. Your educator decides."
        )


def _order(clock: HeadClock) -> Iterator[str]:
    if clock.spread:
        yield (
            f"The foils closed first stay in up to {told_minutes(clock.spread)} longer. With "
            "lightener, begin where hair is darkest or most resistant."
        )
