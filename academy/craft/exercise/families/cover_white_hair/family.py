"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.decided import decided_field, label_named, label_or_cream
from academy.craft.exercise.families.cover_white_hair.plan import (
    ITEMS,
    LEAST_WHITE,
    Head,
    Settled,
    WhiteHair,
    throw_head,
)
from academy.craft.exercise.families.cover_white_hair.sheet import (
    NEEDS,
    STARTS,
    givens_of,
    lines_of,
    text_of,
)
from academy.craft.exercise.families.cover_white_hair.slips import slips_of
from academy.craft.exercise.family import (
    Dice,
    Drawn,
    Follow,
    Tolerances,
    figure,
    grams,
    part_of,
)
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake, Safety
from academy.craft.formula.mixture import developer_for
from academy.craft.measure import YES_OR_NO, Kind, Ratio, Value, clock, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules


class CoverWhiteHair:
    """Exercise family ``cover-white-hair``."""

    key = "cover-white-hair"
    version = 1
    title = "Covering white hair"
    trains = "The full decision for white coverage"
    parameters = WhiteHair

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[WhiteHair] | None:
        """A head with its white by area, under a label at level exam."""
        head = throw_head(dice, level, rules.with_label(None).number("start_lead"))
        if head.white < LEAST_WHITE or max(head.areas.values()) > 100:
            return None
        if level is not Level.EXAM:
            return self.plan(head, level, rules.with_label(None))
        label = label_or_cream(dice, rules, "permanent")
        return self.plan(head, level, rules.with_label(label), dice.pick(tuple(ITEMS)))

    def under(self, drawn: WhiteHair, rules: Rules) -> Drawn[WhiteHair] | None:
        """The same head under other rules, at level exam beside the same label."""
        label = label_named(drawn.label, rules) if drawn.label else None
        head, under = part_of(Head, drawn), rules.with_label(label)
        return self.plan(head, Level(drawn.level), under, drawn.item)

    def plan(
        self, head: Head, level: Level, rules: Rules, item: str = ""
    ) -> Drawn[WhiteHair] | None:
        """Resolve the rules for a head; None where nothing is split, or no clock can tell."""
        settled = Settled.of(rules, head)
        if not 0 < settled.share.number < 100:
            return None
        if level is not Level.FIRST and not settled.in_whole_minutes:
            return None
        drawn = WhiteHair(level=str(level), **settled.values(rules, item))
        return Drawn(drawn, settled.decided(level))

    def identity(self, drawn: WhiteHair) -> str:
        """Everything that enters a sum; not the tone."""
        if drawn.level == Level.FIRST:
            return f"first/{drawn.white}/{drawn.resistance}/{drawn.regrowth}/{drawn.d}"
        by_area = "-".join(str(white) for white in drawn.areas.values())
        depths = f"{drawn.natural_depth}-{drawn.target_depth}"
        size = f"{drawn.regrowth}-{drawn.area}"
        times = f"{clock(drawn.start_at)}-{clock(drawn.end_at)}"
        asked = "/".join([by_area, drawn.resistance, depths, size, times])
        return f"{asked}/{drawn.label}/{drawn.item}" if drawn.item else asked

    def key_of(self, drawn: WhiteHair) -> dict[str, Value]:
        """The whole plan."""
        key: dict[str, Value] = {
            "share": drawn.share,
            "cream": drawn.cream,
            "natural": drawn.natural,
            "natural_depth": Decimal(drawn.target_depth),
            "target": drawn.cream - drawn.natural,
            "strength": drawn.strength,
            "ratio": Ratio.of(1, drawn.d),
            "developer": developer_for(drawn.cream, drawn.d),
            "presoften": drawn.presoften,
            "start": drawn.start,
            "minutes": drawn.minutes,
            "first_check": drawn.counts_from + drawn.minutes,
            "latest_rinse": drawn.counts_from + drawn.ceiling,
        }
        if drawn.item:
            key["decided_by"] = drawn.item_by
        return key

    def fields(self, drawn: WhiteHair, tolerances: Tolerances) -> tuple[Field, ...]:
        """Share and weights at level first; the whole plan after it; natural weighs double."""
        return tuple(
            replace(field, needs=NEEDS.get(field.key, ()))
            for field in self._asked(drawn, tolerances)
        )

    def _asked(self, drawn: WhiteHair, tolerances: Tolerances) -> tuple[Field, ...]:
        near = tolerances.grams
        share = Field("share", "Share of base shade", Kind.SHARE, tolerance=tolerances.share)
        cream = Field("cream", "Colour cream in all", Kind.GRAMS, tolerance=near)
        natural = Field("natural", "Natural shade", Kind.GRAMS, 2, near)
        label = f"Target shade, depth {drawn.target_depth} {drawn.tone}"
        target = Field("target", label, Kind.GRAMS, tolerance=near)
        developer = Field("developer", "Developer", Kind.GRAMS, tolerance=near)
        if drawn.level == Level.FIRST:
            return share, cream, natural, target, developer
        return (
            share,
            cream,
            natural,
            Field("natural_depth", "Depth of the natural shade", Kind.DEPTH),
            target,
            Field("strength", "Developer strength", Kind.STRENGTH, tolerance=tolerances.strength),
            Field("ratio", "Colour to developer", Kind.RATIO),
            developer,
            Field("presoften", "Pre-soften?", Kind.YES_NO, choices=YES_OR_NO),
            Field("start", "Where you start", Kind.CHOICE, choices=STARTS),
            Field("minutes", "Development time", Kind.MINUTES),
            Field("first_check", "First check", Kind.CLOCK),
            Field("latest_rinse", "Latest rinse", Kind.CLOCK, safety=Safety.LATER),
            *([decided_field(ITEMS[drawn.item])] if drawn.item else ()),
        )

    def mistakes(self, drawn: WhiteHair) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        return slips_of(drawn)

    def text(self, drawn: WhiteHair) -> str:
        """One head, one service."""
        return text_of(drawn)

    def givens(self, drawn: WhiteHair) -> tuple[Given, ...]:
        """The head, the house's figures, white by area, and the label at level exam."""
        return givens_of(drawn)

    def lines(self, drawn: WhiteHair, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """Share, cream, shades, developer; then pre-softening, start, times and who decided."""
        return lines_of(drawn, own)

    def follow(self, drawn: WhiteHair, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Shades and developer on own cream and share, the first check on own minutes."""
        cream, minutes = own.get("cream"), own.get("minutes")
        if field == "first_check" and isinstance(minutes, Decimal):
            since = drawn.counts_from
            yield Follow(since + minutes, f"{clock(since)} + {shown(minutes)} min")
        if field == "developer" and isinstance(cream, Decimal):
            yield Follow(developer_for(cream, drawn.d), f"{grams(cream)} × {shown(drawn.d)}")
        if field == "natural" and ("cream" in own or "share" in own):
            yield _share_of(drawn, own, rest=False)
        if field == "target":
            natural = own.get("natural")
            if isinstance(cream, Decimal) and isinstance(natural, Decimal):
                yield Follow(cream - natural, f"{grams(cream)} − {grams(natural)}")
            if "cream" in own or "share" in own:
                yield _share_of(drawn, own, rest=True)


def _share_of(drawn: WhiteHair, own: Mapping[str, Value], *, rest: bool) -> Follow:
    cream = figure(own.get("cream"), drawn.cream)
    share = figure(own.get("share"), drawn.share)
    part = 100 - share if rest else share
    return Follow(cream * part / 100, f"{grams(cream)} × {shown(part)} ÷ 100")
