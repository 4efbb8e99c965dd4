"""Legal limits, looked at in the mixed, ready-for-use product. Exactly at the limit is allowed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.craft.measure import shown

if TYPE_CHECKING:
    from decimal import Decimal

    from academy.craft.rules import Decided, Rules


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One ingredient against its limit; ``sentence`` says what was found, never that it is safe."""

    percent: Decimal
    limit: Decided
    allowed: bool
    sentence: str


def within(percent: Decimal, limit: Decimal) -> bool:
    """Whether per cent on the head keep to a limit; exactly at it is allowed."""
    return percent <= limit


def check_limit(ingredient: str, percent_on_head: Decimal, rules: Rules) -> LimitCheck:
    """Compare per cent on the head with ``legal_limit.<ingredient>``.

    A developer named by volume must come in by the trade table: the law equates 12 % with 40
    volumes, so the exact conversion (12.14 %) is not a reason to refuse.
    """
    limit = rules.decide("legal_limit", ingredient=ingredient)
    allowed = within(percent_on_head, limit.number)
    found, bound = shown(percent_on_head, 2), shown(limit.number)
    if not allowed:
        sentence = f"Refused: {found} % in the mixture is above the limit of {bound} %."
    elif percent_on_head == limit.number:
        sentence = f"{found} % is exactly the limit of {bound} %, which is allowed."
    else:
        sentence = f"{found} % in the mixture: no reason to refuse, the limit is {bound} %."
    return LimitCheck(percent_on_head, limit, allowed, sentence)


def label_must_say_ammonia(percent_in_product: Decimal, rules: Rules) -> bool:
    """Whether "Contains ammonia" must be printed (above 2 %, EU Annex III entry 4)."""
    return percent_in_product > rules.number("legal_limit", ingredient="ammonia_label_word")
