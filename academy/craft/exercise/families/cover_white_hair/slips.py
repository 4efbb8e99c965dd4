"""The slips of white coverage, each under its own condition."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.question import Level, Mistake
from academy.craft.formula.mixture import bowl_of, developer_for
from academy.craft.measure import Ratio, shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.craft.exercise.families.cover_white_hair.plan import WhiteHair

LIFTING = (Decimal(9), Decimal(12))
DEPOSIT = Decimal(3)


def slips_of(drawn: WhiteHair) -> Iterator[Mistake]:
    """The slips of the trade page, each under its own condition."""
    for name, share, sentence in _share_slips(drawn):
        yield Mistake(name, "share", share, sentence)
        yield Mistake(name, "natural", drawn.cream * share / 100, sentence)
    of_bowl = bowl_of(drawn.cream, drawn.d) * drawn.share / 100
    if of_bowl != drawn.cream / 2:
        yield Mistake("share-of-bowl", "natural", of_bowl, "The share is of the cream.")
    if drawn.level == Level.FIRST:
        return
    yield from _strength_slips(drawn)
    yield Mistake(
        "natural-depth",
        "natural_depth",
        Decimal(drawn.natural_depth),
        "The natural shade sits at the target depth.",
    )
    yield Mistake(
        "from-start",
        "first_check",
        drawn.start_at + drawn.minutes,
        "Time counts from the end of application.",
    )
    yield Mistake(
        "rinse-at-check",
        "latest_rinse",
        drawn.counts_from + drawn.minutes,
        "The check decides; the ceiling is later.",
    )
    if drawn.label_ratio is not None and drawn.house_d != drawn.d:
        yield from _house_ratio_slips(drawn)


def _share_slips(drawn: WhiteHair) -> Iterator[tuple[str, Decimal, str]]:
    share, other = drawn.share, drawn.other_share
    if drawn.white not in {share, other}:
        follows = "is half by this house’s rule" if drawn.method == "half" else "follows the band"
        yield "white-as-share", drawn.white, f"The share {follows}, not the white figure."
    if share != 50:
        yield "swapped", 100 - share, "White hair needs the natural shade."
    if other != share and other > 0:
        yield (
            "wrong-column",
            other,
            "Feel the hair: resistant hair has its own column.",
        )
    if 50 not in {share, other}:
        yield "half-always", Decimal(50), "Half and half is another rule than this house’s."


def _strength_slips(drawn: WhiteHair) -> Iterator[Mistake]:
    taught = f"Full coverage is taught with {shown(drawn.strength)} %."
    for stronger in LIFTING:
        if stronger > drawn.strength:
            yield Mistake(
                "lift-strength", "strength", stronger, "More strength lifts; it does not cover."
            )
    if drawn.strength > DEPOSIT:
        yield Mistake("deposit-strength", "strength", DEPOSIT, taught)


def _house_ratio_slips(drawn: WhiteHair) -> Iterator[Mistake]:
    cream, sentence = drawn.cream_at(drawn.house_d), "The label decides."
    yield Mistake("house-ratio", "cream", cream, sentence)
    yield Mistake("house-ratio", "ratio", Ratio.of(1, drawn.house_d), sentence)
    yield Mistake("house-ratio", "developer", developer_for(cream, drawn.house_d), sentence)
