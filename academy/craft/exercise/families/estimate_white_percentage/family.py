"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.cover_white_hair.sheet import AREA_NAMES, STARTS
from academy.craft.exercise.families.estimate_white_percentage.sample import (
    BANDS,
    HALF,
    Sample,
    band_of,
    settle,
    throw_sample,
)
from academy.craft.exercise.families.estimate_white_percentage.sheet import (
    NEEDS,
    givens_of,
    lines_of,
    own_areas,
    share_sum,
    start_sum,
    text_of,
    weighted_sum,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.white_hair import white_of_head
from academy.craft.measure import Kind, Value, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

WHOLE = Decimal(100)


class EstimateWhitePercentage:
    """Exercise family ``estimate-white-percentage``."""

    key = "estimate-white-percentage"
    version = 1
    title = "Estimating the share of white"
    trains = "Sampling white by area and weighting it"
    parameters = Sample

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Sample] | None:
        """Hairs counted in each area, two of them at level first."""
        thrown = throw_sample(dice, level, rules)
        return None if thrown is None else Drawn(*thrown)

    def under(self, drawn: Sample, rules: Rules) -> Drawn[Sample]:
        """The same counts under other bands or another lead."""
        return Drawn(*settle(drawn, rules))

    def identity(self, drawn: Sample) -> str:
        """The counts by area; from level working on also the hair, which enters the share."""
        counts = "-".join(f"{area}{white}" for area, white in drawn.counts.items())
        asked = f"{counts}/{drawn.hairs}"
        return asked if drawn.level == Level.FIRST else f"{asked}/{drawn.resistance}"

    def key_of(self, drawn: Sample) -> dict[str, Value]:
        """White per cent by area and of the head, base share, where to start."""
        areas = drawn.areas
        key: dict[str, Value] = dict(areas)
        if drawn.level == Level.FIRST:
            return key
        head = white_of_head(areas)
        return key | {
            "head": head,
            "share": drawn.share_at(head),
            "start": drawn.start_at(areas),
        }

    def fields(self, drawn: Sample, tolerances: Tolerances) -> tuple[Field, ...]:
        """The areas; from level working on the head (double weight), its share and the start."""
        return tuple(_asked(drawn, tolerances))

    def mistakes(self, drawn: Sample) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        out_of = f"Out of {drawn.hairs}."
        counted_others = "You counted the others."
        areas = drawn.areas
        for area, white in areas.items():
            yield Mistake("count-as-percent", area, Decimal(drawn.counts[area]), out_of)
            yield Mistake("pigmented", area, WHOLE - white, counted_others)
        if drawn.level == Level.FIRST:
            return
        head = white_of_head(areas)
        counts = {area: Decimal(count) for area, count in drawn.counts.items()}
        mean = sum(areas.values(), Decimal(0)) / len(areas)
        largest = "The back is the largest area; weigh it."
        yield Mistake("plain-mean", "head", mean, largest)
        front_only = "The front is what the client sees, not the head."
        yield Mistake("front-only", "head", areas["front"], front_only)
        yield Mistake("count-as-percent", "head", white_of_head(counts), out_of)
        yield Mistake("pigmented", "head", WHOLE - head, counted_others)
        yield from _share_slips(drawn, head)

    def text(self, drawn: Sample) -> str:
        """One head, counted area by area."""
        return text_of(drawn)

    def givens(self, drawn: Sample) -> tuple[Given, ...]:
        """The counts, and what the areas weigh."""
        return tuple(givens_of(drawn))

    def lines(self, drawn: Sample, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Each area, the weighted sum, the band, the lead."""
        return tuple(lines_of(drawn, own))

    def follow(self, drawn: Sample, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Head and start on own areas, the share on the own head."""
        areas, head = own_areas(drawn, own), own.get("head")
        if field == "head" and drawn.areas.keys() & own.keys():
            yield Follow(white_of_head(areas), weighted_sum(areas))
        if field == "share" and isinstance(head, Decimal):
            yield Follow(drawn.share_at(head), share_sum(drawn, head))
        if field == "start" and drawn.areas.keys() & own.keys():
            yield Follow(drawn.start_at(areas), start_sum(drawn, areas))


def _asked(drawn: Sample, tolerances: Tolerances) -> Iterator[Field]:
    near = tolerances.share
    for area in drawn.counts:
        name = AREA_NAMES[area].lower()
        needs = ("Hairs counted", f"White hairs, {name}")
        yield Field(area, f"White, {name}", Kind.SHARE, tolerance=near, needs=needs)
    if drawn.level == Level.FIRST:
        return
    yield Field("head", "White, the whole head", Kind.SHARE, 2, tolerance=near, needs=NEEDS["head"])
    yield Field("share", "Share of base shade", Kind.SHARE, tolerance=near, needs=NEEDS["share"])
    yield Field("start", "Where you start", Kind.CHOICE, choices=STARTS, needs=NEEDS["start"])


def _share_slips(drawn: Sample, head: Decimal) -> Iterator[Mistake]:
    if head in BANDS[1:]:
        band = band_of(head)
        below = drawn.shares[band - 1]
        upper = BANDS[band + 1] if band + 1 < len(BANDS) else WHOLE
        if below is not None:
            border = shown(head)
            sentence = f"{border} belongs to {border}-{shown(upper)}."
            if drawn.method == HALF and not drawn.label_shares:
                sentence = f"{border} % is enough: half from {border} % white on."
            yield Mistake("wrong-border", "share", below, sentence)
    if drawn.other_share != drawn.share_at(head):
        yield Mistake("wrong-column", "share", drawn.other_share, "Feel the hair.")
