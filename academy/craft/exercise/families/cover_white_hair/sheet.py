"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_line
from academy.craft.exercise.families.cover_white_hair.plan import ITEMS, WhiteHair
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.mixture import developer_for
from academy.craft.formula.white_hair import EAR_TO_EAR, Resistance
from academy.craft.measure import Choice, Kind, Value, clock, shown, shown_as
from academy.craft.rules import DecidedBy

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

AREA_NAMES = {
    "front": "Front",
    "sides": "Sides",
    "crown": "Crown",
    "back": "Back",
    "nape": "Nape",
}
STARTS = (
    Choice("front", "Front hairline", ("fringe", "front", "hairline")),
    Choice("sides", "Sides", ("side",)),
    Choice("crown", "Crown"),
    Choice("back", "Back", ("occipital",)),
    Choice("nape", "Nape"),
    Choice(EAR_TO_EAR, "No area leads: ear to ear, then down the back", ("ear to ear", "none")),
)
_HAIR = ("White hair", "Hair")
_RATIOS = ("Colour to developer", "Label, colour to developer")
_DECIDING = ("Rules your house has changed", "Label, ")
_TIMES = ("Application ends", "Application starts", "Label, time")
NEEDS: Mapping[str, tuple[str, ...]] = {
    "share": (*_HAIR, "House rule for the base shade", "Label, base shade"),
    "cream": ("Mixed product", "Scalp", "Regrowth", *_RATIOS),
    "natural": _HAIR,
    "natural_depth": ("Wanted", "Natural depth"),
    "target": ("Wanted", *_HAIR),
    "strength": (*_HAIR, "Wanted", "Label, developer strength"),
    "ratio": (*_RATIOS, *_DECIDING),
    "developer": _RATIOS,
    "presoften": _HAIR,
    "start": ("White, front", "White, sides", "White, crown", "White, back", "White, nape"),
    "minutes": ("Hair", "Label, minutes"),
    "first_check": (*_TIMES, "Label, minutes"),
    "latest_rinse": (*_TIMES, "Label, ceiling"),
    "decided_by": _DECIDING,
}
METHODS = {
    "half": "half from 25 % white on",
    "proportional": "as much as the white",
}


def text_of(drawn: WhiteHair) -> str:
    """One head, one service."""
    resistance = (
        "hair coarse and resistant" if drawn.resistance == Resistance.RESISTANT else "hair normal"
    )
    head = (
        f"Natural depth {drawn.natural_depth}, {shown(drawn.white)} % white, {resistance}. "
        f"Wanted: depth {drawn.target_depth} {drawn.tone}, full coverage. "
        f"Regrowth {shown(drawn.regrowth)} cm on {shown(drawn.area)} cm². "
    )
    if drawn.level == Level.FIRST:
        return head + f"You mix 1:{shown(drawn.d)}. What goes into your bowl?"
    times = f"You apply from {clock(drawn.start_at)} to {clock(drawn.end_at)}"
    if drawn.level == Level.WORKING:
        return head + f"{times}. White by area is below. Plan the service."
    return head + (
        f"{times} and use {drawn.label}. White by area and label are below. "
        f"Plan the service; say what decided {ITEMS[drawn.item]}."
    )


def givens_of(drawn: WhiteHair) -> tuple[Given, ...]:
    """The head, the house's figures, white by area, and the label at level exam."""
    rows = [
        Given("Natural depth", str(drawn.natural_depth)),
        Given("White hair", shown(drawn.white), "%"),
        Given("Hair", drawn.resistance),
        Given("Wanted", f"depth {drawn.target_depth} {drawn.tone}"),
        Given("Regrowth", shown(drawn.regrowth), "cm"),
        Given("Scalp", shown(drawn.area), "cm²"),
        Given(
            "Mixed product for each cm² of scalp and cm of regrowth",
            shown(drawn.spread),
            "g",
            "Mixed product",
        ),
        Given("Cream is rounded up to a multiple of", shown(drawn.step), "g", "Cream, multiple of"),
    ]
    if drawn.method != "bands":
        rows.append(
            Given(
                "House rule for the base shade",
                METHODS[drawn.method],
                short="House rule, base shade",
            )
        )
    if drawn.level == Level.FIRST:
        return *rows, Given("Colour to developer", f"1:{shown(drawn.d)}")
    rows += [
        Given(f"White, {AREA_NAMES[area].lower()}", shown(white), "%")
        for area, white in drawn.areas.items()
    ]
    rows += [
        Given("Application starts", clock(drawn.start_at)),
        Given("Application ends", clock(drawn.end_at)),
    ]
    return *rows, *_label_rows(drawn)


def lines_of(drawn: WhiteHair, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Share, cream, shades, developer; then pre-softening, start, times and who decided."""
    bowl = _bowl_lines(drawn, own)
    if drawn.level == Level.FIRST:
        return bowl
    minutes = figure(own.get("minutes"), drawn.minutes)
    since, start = drawn.counts_from, next(c for c in STARTS if c.key == drawn.start)
    ranked = sorted(drawn.areas.values(), reverse=True)
    lines = (
        *bowl[:3],
        Line(
            "Depth of the natural shade",
            "that of the target shade",
            f"depth {drawn.target_depth}",
            "natural_depth",
        ),
        bowl[3],
        Line("Developer strength", drawn.strength_rule, f"{shown(drawn.strength)} %", "strength"),
        Line("Colour to developer", drawn.ratio_rule, f"1:{shown(drawn.d)}", "ratio"),
        bowl[4],
        Line(
            "Pre-soften",
            f"{drawn.resistance} hair, {shown(drawn.white)} % white; "
            f"resistant hair from {shown(drawn.presoften_from)} %",
            drawn.presoften.capitalize(),
            "presoften",
        ),
        Line(
            "Start",
            f"the whitest leads by {shown(ranked[0] - ranked[1])} points, "
            f"{shown(drawn.start_lead)} make a lead",
            start.label,
            "start",
        ),
        Line("Development time", drawn.minutes_rule, f"{shown(drawn.minutes)} min", "minutes"),
        Line(
            "First check",
            f"{clock(since)} + {shown(minutes)} min",
            clock(since + minutes),
            "first_check",
        ),
        Line(
            f"Latest rinse, ceiling {drawn.ceiling_rule}",
            f"{clock(since)} + {shown(drawn.ceiling)} min",
            clock(since + drawn.ceiling),
            "latest_rinse",
        ),
    )
    return lines + _decided_line(drawn)


def _label_rows(drawn: WhiteHair) -> Iterator[Given]:
    if not drawn.label:
        return
    if drawn.label_ratio is not None:
        yield Given("Label, colour to developer", f"1:{shown(drawn.label_ratio)}")
    for words, minutes, short in (
        ("Label, minutes", drawn.label_minutes, ""),
        ("Label, minutes on resistant white", drawn.label_resistant, "Label, resistant white"),
        ("Label, ceiling", drawn.label_ceiling, ""),
    ):
        if minutes is not None:
            yield Given(words, shown(minutes), "min", short)
    if drawn.label_strengths:
        yield Given("Label, developer strength", drawn.label_strengths)
    if drawn.label_shares:
        yield Given("Label, base shade", drawn.label_shares)
    counted_from = f"{'start' if drawn.from_start else 'end'} of application"
    yield Given("Label, time counts from the", counted_from, short="Label, counts from")
    changed = drawn.changed or "none on ratio, ceiling, base shade or strength"
    yield Given("Rules your house has changed", changed, short="House has changed")


def _bowl_lines(drawn: WhiteHair, own: Mapping[str, Value]) -> tuple[Line, ...]:
    share = figure(own.get("share"), drawn.share)
    cream = figure(own.get("cream"), drawn.cream)
    natural = figure(own.get("natural"), cream * share / 100)
    need = drawn.spread * drawn.area * drawn.regrowth / (1 + drawn.d)
    return (
        Line(
            f"Share of base shade, {shown(drawn.white)} % white, {drawn.resistance} hair",
            drawn.share_rule,
            shown_as(Kind.SHARE, drawn.share),
            "share",
        ),
        Line(
            f"Cream, up to a multiple of {shown(drawn.step)} g",
            f"{shown(drawn.spread)} × {shown(drawn.area)} × {shown(drawn.regrowth)} ÷ "
            f"{shown(1 + drawn.d)} = {shown(need, 1)} g",
            grams(drawn.cream),
            "cream",
        ),
        Line(
            "Natural shade",
            f"{grams(cream)} × {shown(share)} ÷ 100",
            grams(cream * share / 100),
            "natural",
        ),
        Line(
            "Target shade", f"{grams(cream)} − {grams(natural)}", grams(cream - natural), "target"
        ),
        Line(
            "Developer",
            f"{grams(cream)} × {shown(drawn.d)}",
            grams(developer_for(cream, drawn.d)),
            "developer",
        ),
    )


def _decided_line(drawn: WhiteHair) -> tuple[Line, ...]:
    if not drawn.item:
        return ()
    why = (
        "the label says so"
        if drawn.item_by == DecidedBy.LABEL
        else "the label is silent, so the rule holds"
    )
    return (decided_line(f"What decided {ITEMS[drawn.item]}", why, drawn.item_by),)
