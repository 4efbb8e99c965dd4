"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.formula.foils import panel_share, powder_for
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import Kind, Value, counted, shown, shown_as
from academy.craft.timing import minutes_for

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from academy.craft.exercise.families.foil_plan.panel import Panel


def text_of(drawn: Panel) -> str:
    """One panel to foil."""
    depth = f"{shown(drawn.depth)} mm deep"
    if drawn.level == Level.EXAM:
        return (
            f"You foil a panel that runs {shown(drawn.run)} mm. The foils are {depth}, the "
            f"weave is {_weave(drawn)}. You want {shown(drawn.share, 1)} % of the panel taken. "
            "How many millimetres do you leave between two foils, and how many foils fit?"
        )
    panel = (
        f"You foil a panel that runs {shown(drawn.run)} mm. The foils are {depth}, "
        f"{shown(drawn.left)} mm are left between, "
    )
    panel += "all in slices." if not drawn.gap else f"the weave is {_weave(drawn)}."
    if drawn.level == Level.FIRST:
        return f"{panel} How many foils do you lay, and what is the woven share?"
    return (
        f"{panel} How many foils, what woven and panel share, how much powder at "
        f"{shown(drawn.a_foil)} g a foil and developer at 1:{shown(drawn.d)}, how long at "
        f"{shown(drawn.pace)} min a foil?"
    )


def givens_of(drawn: Panel) -> tuple[Given, ...]:
    """The figures of the text."""
    rows = [
        Given("Panel", shown(drawn.run), "mm"),
        Given("Depth of a foil", shown(drawn.depth), "mm"),
    ]
    if drawn.level == Level.EXAM:
        rows.append(Given("Wanted share of the panel", shown(drawn.share, 1), "%"))
    else:
        rows.append(Given("Left between two foils", shown(drawn.left), "mm"))
    if drawn.gap:
        rows.append(Given("Taken in the weave", shown(drawn.stitch), "mm"))
        rows.append(Given("Left in the weave", shown(drawn.gap), "mm"))
    else:
        rows.append(Given("Weave", "none, slices"))
    if drawn.level == Level.WORKING:
        rows += [
            Given(f"Powder for one foil, {drawn.hair} hair", shown(drawn.a_foil), "g"),
            Given("Powder to developer", f"1:{shown(drawn.d)}"),
            Given("Pace, minutes for one foil", shown(drawn.pace), "min"),
        ]
    return tuple(rows)


def lines_of(drawn: Panel, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Pitch, foils, shares, then powder, developer and minutes."""
    left = figure(own.get("left"), drawn.left)
    pitch = drawn.depth + left
    woven = (
        f"{shown(drawn.stitch)} ÷ ({shown(drawn.stitch)} + {shown(drawn.gap)}) × 100"
        if drawn.gap
        else "a slice leaves nothing out"
    )
    count = f"{shown(drawn.run)} mm ÷ {shown(pitch, 1)} mm = {shown(drawn.run / pitch, 2)}"
    woven_line = Line("Woven share", woven, shown_as(Kind.SHARE, drawn.woven), "woven")
    foil_lines = (
        Line(
            "From one foil to the next",
            f"{shown(drawn.depth)} mm + {shown_as(Kind.MILLIMETRES, left)}",
            shown_as(Kind.MILLIMETRES, pitch),
        ),
        Line("Foils, whole ones only", count, shown(drawn.run // pitch), "foils"),
    )
    if drawn.level == Level.EXAM:
        return woven_line, _left_line(drawn), *foil_lines
    if drawn.level == Level.FIRST:
        return *foil_lines, woven_line
    return *foil_lines, woven_line, *_product_lines(drawn, own)


def _weave(drawn: Panel) -> str:
    return f"{shown(drawn.stitch)} mm taken, {shown(drawn.gap)} mm left"


def panel_sum(drawn: Panel, woven: Decimal) -> str:
    """The share of the panel as a sum."""
    share = shown_as(Kind.SHARE, woven)
    return f"{shown(drawn.depth)} ÷ {shown(drawn.pitch)} × {share}"


def _left_line(drawn: Panel) -> Line:
    share, woven = shown(drawn.share, 1), shown(drawn.woven, 1)
    return Line(
        "Left between",
        f"{shown(drawn.depth)} mm × ({woven} ÷ {share} − 1)",
        shown_as(Kind.MILLIMETRES, drawn.left),
        "left",
    )


def _product_lines(drawn: Panel, own: Mapping[str, Value]) -> tuple[Line, ...]:
    woven = figure(own.get("woven"), drawn.woven)
    foils = figure(own.get("foils"), drawn.foils)
    powder = figure(own.get("powder"), powder_for(foils, drawn.a_foil))
    panel = panel_share(drawn.depth, drawn.left, woven)
    return (
        Line("Share of the panel", panel_sum(drawn, woven), shown_as(Kind.SHARE, panel), "panel"),
        Line(
            "Powder",
            f"{counted(foils, 'foil')} × {shown(drawn.a_foil)} g",
            grams(powder_for(foils, drawn.a_foil)),
            "powder",
        ),
        Line(
            "Developer",
            f"{grams(powder)} × {shown(drawn.d)}",
            grams(developer_for(powder, drawn.d)),
            "developer",
        ),
        Line(
            "Time",
            f"{counted(foils, 'foil')} × {shown(drawn.pace)} min",
            shown_as(Kind.MINUTES, minutes_for(foils, drawn.pace)),
            "minutes",
        ),
    )
