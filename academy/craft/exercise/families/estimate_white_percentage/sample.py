"""Hairs counted in each area, and the rules that are resolved for them."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import combinations
from math import ceil
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.families.cover_white_hair.plan import shares_said
from academy.craft.exercise.question import Level
from academy.craft.formula.white_hair import (
    AREA_SHARES,
    Resistance,
    base_share,
    start_area,
    white_of_head,
    white_percent,
)
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.exercise.family import Dice
    from academy.craft.rules import Decided, Rules

BANDS = tuple(Decimal(bound) for bound in (0, 10, 25, 40, 70))
"""Lower bounds of the bands of white, in per cent; a border belongs to the band above it."""

HALF, PROPORTIONAL = "half", "proportional"
FEW, MANY = 20, 40
AT_A_BORDER_ONE_IN = 6
_THROWS = 60
_BORDERS = tuple(int(bound) for bound in BANDS[1:])
_SIZES = tuple(int(share) for share in AREA_SHARES.values())


@dataclass(frozen=True, slots=True)
class Sample:
    """White hairs of ``hairs`` counted in each area; None where an area was not counted.

    ``share_…`` are the base share of each band of white in per cent, None where it is as much as
    the white; ``other_share`` is that of the other resistance. ``lead`` in points. ``label`` has
    bands of its own, which ``label_shares`` are, ready to print.
    """

    level: str
    hairs: int
    front: int | None
    sides: int | None
    crown: int | None
    back: int | None
    nape: int | None
    resistance: str
    method: str
    share_0: Decimal | None
    share_10: Decimal | None
    share_25: Decimal | None
    share_40: Decimal | None
    share_70: Decimal | None
    other_share: Decimal
    share_rule: str
    lead: Decimal
    label: str = ""
    label_shares: str = ""

    @property
    def counts(self) -> dict[str, int]:
        """White hairs by area, of those that were counted."""
        found = {area: getattr(self, area) for area in AREA_SHARES}
        return {area: white for area, white in found.items() if white is not None}

    @property
    def areas(self) -> dict[str, Decimal]:
        """White per cent by area."""
        return {area: white_percent(white, self.hairs) for area, white in self.counts.items()}

    @property
    def head(self) -> Decimal:
        """White per cent of the head."""
        return white_of_head(self.areas)

    @property
    def shares(self) -> tuple[Decimal | None, ...]:
        """The base share of each band."""
        return self.share_0, self.share_10, self.share_25, self.share_40, self.share_70

    def share_at(self, white: Decimal) -> Decimal:
        """The base share at this white per cent."""
        share = self.shares[band_of(white)]
        return white if share is None else share

    def start_at(self, areas: Mapping[str, Decimal]) -> str:
        """Where to start with these white per cents by area."""
        return start_area(areas, self.lead)


def band_of(white: Decimal) -> int:
    """The number of the band, from 0."""
    return max(0, bisect_right(BANDS, white) - 1)


def band_in_words(white: Decimal) -> str:
    """The band a white per cent lies in: "25 to 40"."""
    band = band_of(white)
    upper = BANDS[band + 1] if band + 1 < len(BANDS) else Decimal(100)
    return f"{BANDS[band]} to {upper}"


def throw_sample(
    dice: Dice, level: Level, rules: Rules
) -> tuple[Sample, tuple[Decided, ...]] | None:
    """One head; None where two slips, or a slip and the key, would come out alike."""
    hairs = FEW if level is Level.FIRST else dice.pick((FEW, MANY))
    resistance = dice.pick(tuple(Resistance))
    if level is Level.FIRST:
        asked = dice.pick(tuple(combinations(AREA_SHARES, 2)))
        return settle_sample(level, hairs, resistance, dict(_two(dice, asked)), rules)
    throw = _at_a_border if dice.chance(AT_A_BORDER_ONE_IN) else _anywhere
    near = ceil(rules.number("tolerance", quantity="share") * 100)
    for _ in range(_THROWS):
        counts = throw(dice, hairs)
        if counts is not None and _tell_apart(counts, hairs, near, level):
            break
    else:
        return None
    found = dict(zip(AREA_SHARES, counts, strict=True))
    return settle_sample(level, hairs, resistance, found, rules)


def settle_sample(
    level: Level, hairs: int, resistance: Resistance, counts: Mapping[str, int], rules: Rules
) -> tuple[Sample, tuple[Decided, ...]]:
    """The sample with the rules that hold for it."""
    lead = rules.decide("start_lead")
    kept: dict[str, Any] = {area: counts.get(area) for area in AREA_SHARES}
    method = rules.decide("white_rule").word
    for bound in BANDS:
        share = base_share(bound, resistance, rules)
        from_white = method == PROPORTIONAL and share.decided_by is not DecidedBy.LABEL
        kept[f"share_{bound}"] = None if from_white else share.number
    sample = Sample(
        level=str(level),
        hairs=hairs,
        **kept,
        resistance=resistance.value,
        method=method,
        other_share=Decimal(0),
        share_rule="",
        lead=lead.number,
    )
    if level is Level.FIRST:
        return sample, ()
    share = base_share(sample.head, resistance, rules)
    other = base_share(sample.head, resistance.other, rules).number
    said = shares_said(rules.label, resistance)
    found = replace(
        sample,
        other_share=other,
        share_rule=share.sentence,
        label=rules.label.name if rules.label is not None and said else "",
        label_shares=said,
    )
    return found, (share, lead)


def settle(sample: Sample, rules: Rules) -> tuple[Sample, tuple[Decided, ...]]:
    """The same counts under other rules."""
    resistance = Resistance(sample.resistance)
    return settle_sample(Level(sample.level), sample.hairs, resistance, sample.counts, rules)


def _two(dice: Dice, asked: tuple[str, ...]) -> list[tuple[str, int]]:
    return [(area, dice.whole(1, FEW - 1)) for area in asked]


def _anywhere(dice: Dice, hairs: int) -> list[int]:
    """White lies round a middle, as it does on a head."""
    middle, spread = dice.whole(hairs // 10, hairs - hairs // 10), hairs // 4
    return [min(hairs, max(0, middle + dice.whole(-spread, spread))) for _ in _SIZES]


def _at_a_border(dice: Dice, hairs: int) -> list[int] | None:
    """Four areas by chance, and the nape with which the head comes out exactly at a border."""
    border = dice.pick(_BORDERS)
    middle, spread = border * hairs // 100, hairs // 5
    counts = [min(hairs, max(0, middle + dice.whole(-spread, spread))) for _ in _SIZES[:-1]]
    weighed = sum(size * count for size, count in zip(_SIZES[:-1], counts, strict=True))
    nape, rest = divmod(border * hairs - weighed, _SIZES[-1])
    return None if rest or not 0 <= nape <= hairs else [*counts, nape]


def _tell_apart(counts: list[int], hairs: int, near: int, level: Level) -> bool:
    """Whether no slip in the head lies near it or near another, and no border but at it.

    Looked at in whole numbers before anything is built: every figure is a per cent times
    ``hairs`` times 100, ``near`` the tolerance in hundredths of a point.
    """
    head = 100 * sum(size * count for size, count in zip(_SIZES, counts, strict=True))
    plain, front = 2000 * sum(counts), 10_000 * counts[0]
    borders = [100 * border * hairs for border in _BORDERS]
    if level is Level.EXAM and bisect_right(borders, plain) == bisect_right(borders, head):
        return False
    allowed = near * hairs
    if any(0 < abs(head - border) <= allowed for border in borders):
        return False
    slips = (plain, front, 10_000 * hairs - head, head * hairs // 100)
    figures = [head, *(slip for slip in slips if slip != head)]
    return all(abs(one - other) > allowed for one, other in combinations(figures, 2))
