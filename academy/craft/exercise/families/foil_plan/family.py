"""The family itself: what is asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.foil_plan.panel import (
    Panel,
    settled,
    throw_panel,
    throw_turned,
)
from academy.craft.exercise.families.foil_plan.sheet import (
    givens_of,
    lines_of,
    panel_sum,
    text_of,
)
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, grams
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.formula.foils import (
    WHOLE,
    foil_count,
    left_for,
    panel_share,
    powder_for,
    woven_share,
)
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import Kind, Value, counted, shown, shown_as
from academy.craft.timing import minutes_for

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

_PITCH = ("Depth of a foil", "Left between")
_WEAVE = ("Weave", "Taken in the weave", "Left in the weave")
_ONLY_STITCHES = "Inside the foil only the stitches are taken."


class FoilPlan:
    """Exercise family ``foil-plan``."""

    key = "foil-plan"
    version = 1
    title = "Foil plan"
    trains = "Spacing, count, share, product and time of a foil panel"
    parameters = Panel

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Panel]:
        """A run with its spacing and weave; turned round, with the share that is wanted."""
        plain = rules.with_label(None)
        return throw_turned(dice, plain) if level is Level.EXAM else throw_panel(dice, level, plain)

    def under(self, drawn: Panel, rules: Rules) -> Drawn[Panel] | None:
        """Weave, powder and ratio come anew; turned round, what is left between comes from them.

        None where the new weave takes less than the wanted share.
        """
        anew = settled(drawn, rules.with_label(None))
        panel = anew.parameters
        if drawn.level != Level.EXAM or panel.woven == drawn.woven:
            return anew
        if panel.share >= panel.woven:
            return None
        left = left_for(panel.share, panel.depth, panel.woven)
        return replace(anew, parameters=replace(panel, left=left))

    def identity(self, drawn: Panel) -> str:
        """Run, spacing and weave; what the foils take and how long they last, where asked."""
        spacing = f"{drawn.run}/{drawn.depth}"
        weave = f"{drawn.stitch}-{drawn.gap}"
        if drawn.level == Level.EXAM:
            return f"turned/{spacing}/{weave}/{drawn.share}"
        panel = f"{spacing}-{drawn.left}/{weave}"
        if drawn.level == Level.FIRST:
            return panel
        return f"{panel}/{drawn.a_foil}/1:{drawn.d}/{drawn.pace}"

    def key_of(self, drawn: Panel) -> dict[str, Value]:
        """Count, shares in per cent, weights in grams, minutes; turned round, the spacing."""
        key: dict[str, Value] = {"foils": drawn.foils, "woven": drawn.woven}
        if drawn.level == Level.EXAM:
            key["left"] = drawn.left
        if drawn.level == Level.WORKING:
            key["panel"] = panel_share(drawn.depth, drawn.left, drawn.woven)
            key["powder"] = drawn.powder
            key["developer"] = developer_for(drawn.powder, drawn.d)
            key["minutes"] = minutes_for(drawn.foils, drawn.pace)
        return key

    def fields(self, drawn: Panel, tolerances: Tolerances) -> tuple[Field, ...]:
        """Foils (double weight) and woven share, all of it, or spacing and foils."""
        foils = Field("foils", "Foils", Kind.COUNT, 2, needs=("Panel", *_PITCH))
        if drawn.level == Level.EXAM:
            left = Field(
                "left",
                "Left between foils",
                Kind.MILLIMETRES,
                tolerance=tolerances.spacing,
                needs=("Wanted share", "Depth of a foil", *_WEAVE[1:]),
            )
            return left, replace(foils, needs=("Panel", "Depth of a foil"))
        near = tolerances.share
        woven = Field(
            "woven", "Woven share", Kind.SHARE, tolerance=near, over_whole=True, needs=_WEAVE
        )
        if drawn.level == Level.FIRST:
            return foils, woven
        panel = Field(
            "panel", "Share of the panel taken", Kind.SHARE, tolerance=near, needs=_PITCH + _WEAVE
        )
        near = tolerances.grams
        return (
            foils,
            woven,
            panel,
            Field("powder", "Powder", Kind.GRAMS, tolerance=near, needs=("Powder for",)),
            Field("developer", "Developer", Kind.GRAMS, tolerance=near, needs=("Powder to",)),
            Field("minutes", "Time for the foils", Kind.MINUTES, needs=("Pace",)),
        )

    def mistakes(self, drawn: Panel) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        depth, left, woven = drawn.depth, drawn.left, drawn.woven
        yield Mistake("one-more", "foils", drawn.foils + 1, _no_room(drawn))
        if drawn.level == Level.EXAM:
            forgotten = left_for(drawn.share, depth, WHOLE)
            yield Mistake("weave-forgotten", "left", forgotten, _ONLY_STITCHES)
            return
        yield Mistake("no-gap", "foils", drawn.run // depth, "Hair left between takes room.")
        if left != depth:
            yield Mistake("gap-only", "foils", drawn.run // left, "Depth takes room too.")
        if drawn.gap:
            yield from _weave_slips(drawn)
        if drawn.level == Level.WORKING:
            if drawn.gap:
                plain = panel_share(depth, left, WHOLE)
                yield Mistake("weave-forgotten", "panel", plain, _ONLY_STITCHES)
            yield Mistake(
                "spacing-forgotten", "panel", woven, "The hair between foils is left out too."
            )

    def text(self, drawn: Panel) -> str:
        """One panel to foil."""
        return text_of(drawn)

    def givens(self, drawn: Panel) -> tuple[Given, ...]:
        """The figures of the text."""
        return givens_of(drawn)

    def lines(self, drawn: Panel, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Pitch, foils, shares, then powder, developer and minutes."""
        return lines_of(drawn, own)

    def follow(self, drawn: Panel, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Panel share on the own woven share; powder and minutes on own foils; developer on own
        powder; turned round, the foils on the own spacing. Nothing at level first.
        """
        woven, foils, powder = own.get("woven"), own.get("foils"), own.get("powder")
        left = own.get("left")
        if field == "foils" and isinstance(left, Decimal):
            pitch = drawn.depth + left
            whole = ", whole ones" if drawn.run % pitch else ""
            count_sum = f"{shown(drawn.run)} mm ÷ {shown_as(Kind.MILLIMETRES, pitch)}{whole}"
            yield Follow(foil_count(drawn.run, drawn.depth, left), count_sum)
        if drawn.level != Level.WORKING:
            return
        if field == "panel" and isinstance(woven, Decimal):
            yield Follow(panel_share(drawn.depth, drawn.left, woven), panel_sum(drawn, woven))
        if field == "powder" and isinstance(foils, Decimal):
            powder_sum = f"{counted(foils, 'foil')} × {shown(drawn.a_foil)} g"
            yield Follow(powder_for(foils, drawn.a_foil), powder_sum)
        if field == "developer" and isinstance(powder, Decimal):
            yield Follow(developer_for(powder, drawn.d), f"{grams(powder)} × {shown(drawn.d)}")
        if field == "minutes" and isinstance(foils, Decimal):
            time_sum = f"{counted(foils, 'foil')} × {shown(drawn.pace)} min"
            yield Follow(minutes_for(foils, drawn.pace), time_sum)


def _no_room(drawn: Panel) -> str:
    if drawn.run % drawn.pitch:
        return "A part foil at the end is not a foil."
    fill = f"{shown(drawn.foils)} × {shown(drawn.pitch)} mm"
    return f"{fill} fill the panel: there is no room for one more."


def _weave_slips(drawn: Panel) -> Iterator[Mistake]:
    stitch, gap = drawn.stitch, drawn.gap
    if stitch != gap:
        yield Mistake("left-share", "woven", woven_share(gap, stitch), "That is what you left out.")
    yield Mistake("to-one", "woven", WHOLE * stitch / gap, "Compare with all, not with the rest.")
