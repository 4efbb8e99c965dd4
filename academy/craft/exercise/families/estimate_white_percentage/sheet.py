"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.cover_white_hair.sheet import AREA_NAMES, METHODS, STARTS
from academy.craft.exercise.families.estimate_white_percentage.sample import (
    HALF,
    Sample,
    band_in_words,
    band_of,
)
from academy.craft.exercise.family import figure
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.white_hair import AREA_SHARES, HALF_FROM, Resistance, white_of_head
from academy.craft.measure import Kind, Value, counted, round_half_up, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from decimal import Decimal

NEEDS: Mapping[str, tuple[str, ...]] = {
    "head": tuple(f"{AREA_NAMES[area]}, share of the scalp" for area in AREA_SHARES),
    "share": ("Hair", "House rule for the base shade", "Label of"),
    "start": ("Hairs counted", *(f"White hairs, {area}" for area in AREA_SHARES)),
}


def text_of(drawn: Sample) -> str:
    """One head, counted area by area."""
    counts = drawn.counts
    if drawn.level == Level.FIRST:
        one, other = (f"{AREA_NAMES[area].lower()} {white}" for area, white in counts.items())
        return (
            f"You count {drawn.hairs} hairs in each of two areas. White: {one}, {other}. "
            "What per cent of each area is white?"
        )
    listed = ", ".join(f"{AREA_NAMES[area].lower()} {white}" for area, white in counts.items())
    hair = "coarse and resistant" if drawn.resistance == Resistance.RESISTANT else "normal"
    return (
        f"You count {drawn.hairs} hairs in each area. White: {listed}. The hair is {hair}. "
        "What per cent of each area is white, what per cent of the head? "
        "Which share of base shade, and where do you start?"
    )


def givens_of(drawn: Sample) -> Iterator[Given]:
    """The counts; from level working on what each area weighs."""
    yield Given("Hairs counted in each area", str(drawn.hairs), short="Hairs counted")
    for area, white in drawn.counts.items():
        yield Given(f"White hairs, {AREA_NAMES[area].lower()}", str(white))
    if drawn.level == Level.FIRST:
        return
    for area, share in AREA_SHARES.items():
        name = AREA_NAMES[area]
        yield Given(f"{name}, share of the scalp", shown(share), "%", f"{name}, share")
    yield Given("Hair", drawn.resistance)
    if drawn.method != "bands":
        yield Given(
            "House rule for the base shade", METHODS[drawn.method], short="House rule, base shade"
        )
    if drawn.label_shares:
        words = f"Label of {drawn.label}, base shade"
        yield Given(words, drawn.label_shares, short="Label, base shade")


def lines_of(drawn: Sample, own: Mapping[str, Value]) -> Iterator[Line]:
    """Each area, the weighted sum, the band, the lead."""
    right = drawn.areas
    for area, white in drawn.counts.items():
        yield Line(
            f"White, {AREA_NAMES[area].lower()}",
            f"{white} ÷ {drawn.hairs} × 100",
            shown_as(Kind.SHARE, right[area]),
            area,
        )
    if drawn.level == Level.FIRST:
        return
    areas = own_areas(drawn, own)
    yield Line(
        "Times its share of the scalp, added",
        weighted_sum(areas),
        shown_as(Kind.SHARE, white_of_head(areas)),
        "head",
    )
    head = figure(own.get("head"), white_of_head(right))
    yield Line(
        f"Share of base shade, {drawn.resistance} hair, {drawn.share_rule}",
        share_sum(drawn, head),
        shown_as(Kind.SHARE, drawn.share_at(head)),
        "share",
    )
    start = drawn.start_at(areas)
    yield Line(
        "Start",
        start_sum(drawn, areas),
        next(choice.label for choice in STARTS if choice.key == start),
        "start",
    )


def own_areas(drawn: Sample, own: Mapping[str, Value]) -> dict[str, Decimal]:
    """White per cent by area, own figures where there are some."""
    return {area: figure(own.get(area), white) for area, white in drawn.areas.items()}


def weighted_sum(areas: Mapping[str, Decimal]) -> str:
    """The sum over the areas: "(22 × 70 + 10 × 60 …) ÷ 100"."""
    added = " + ".join(
        f"{shown(AREA_SHARES[area])} × {shown(white, 1)}" for area, white in areas.items()
    )
    return f"({added}) ÷ 100"


def share_sum(drawn: Sample, head: Decimal) -> str:
    """Where a white per cent of the head lies."""
    white = shown_as(Kind.SHARE, head)
    if drawn.shares[band_of(head)] is None:
        return f"as much as the white, {white}"
    if drawn.method == HALF and not drawn.label_shares:
        least = shown(HALF_FROM)
        return f"{white} is {'at least' if head >= HALF_FROM else 'under'} {least} %"
    return f"{white} lies in {band_in_words(head)}"


def start_sum(drawn: Sample, areas: Mapping[str, Decimal]) -> str:
    """How far the whitest area leads."""
    ranked = sorted(areas.values(), reverse=True)
    points = counted(round_half_up(ranked[0] - ranked[1], 1), "point")
    return f"the whitest leads by {points}, {shown(drawn.lead)} make a lead"
