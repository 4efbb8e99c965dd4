"""What a drawing of the head shows, in words: the name that a screen reader gives it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.head.sheet import VIEW_TITLES
from academy.craft.head.svg_foils import numbers_seen
from academy.craft.head.svg_numbers import number_step
from academy.craft.head.zones import ZONES, Zone

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from academy.craft.head.foils import Plan
    from academy.craft.head.svg import Drawing

STATE_WORDS = {
    "done": "done",
    "part": "levels missing",
    "sel": "chosen",
    "off": "not in this module",
}
_ORDINALS = {2: "second", 5: "fifth", 10: "tenth", 20: "twentieth", 50: "fiftieth"}


def percent(share: float) -> int:
    """A share 0..1 in whole per cent, a half rounded up."""
    return int(100 * min(max(share, 0.0), 1.0) + 0.5)


def ranges(numbers: Sequence[int]) -> str:
    """Rising numbers with runs drawn together: 1 to 4, 7."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def numbers_drawn(plan: Plan) -> str:
    """Which numbers stand on the sheet where not all have room; "" where all do."""
    ordinal = _ORDINALS.get(number_step(plan))
    return f"Every {ordinal} number is drawn." if ordinal else ""


def state_words(zone: Zone, drawing: Drawing) -> str:
    """A zone's state in words, "" for none."""
    state = drawing.states.get(zone, "")
    return drawing.state_words.get(state) or STATE_WORDS.get(state, state)


def spoken(view: str, zones: Collection[Zone], drawing: Drawing) -> str:
    """What a view that sees these zones shows, in the order: view, zones, foils, faults."""
    sentences = [f"{VIEW_TITLES[view]} of the head."]
    told = [_told(zone, drawing) for zone in ZONES if zone in zones]
    if any(told):
        sentences.append("; ".join(words for words in told if words) + ".")
    if drawing.plan:
        sentences.append(_told_plan(view, drawing.plan))
    sentences += [f"Fault {fault.number}: {fault.label}." for fault in drawing.faults]
    return " ".join(sentences)


def _told(zone: Zone, drawing: Drawing) -> str:
    """One zone's state and value in words, "" when nothing is shown on it."""
    facts = [state_words(zone, drawing), drawing.values.get(zone, "")]
    if zone in drawing.heat:
        facts.append(f"{percent(drawing.heat[zone])} % of marks lost")
    facts = [fact for fact in facts if fact]
    return f"{zone.words}: {', '.join(facts)}" if facts else ""


def _told_plan(view: str, plan: Plan) -> str:
    seen = numbers_seen(view, plan)
    if not seen:
        return f"Pattern: {plan.words}."
    sentence = f"Pattern: {plan.words}. Foils seen here, in laying order: {ranges(seen)}."
    return f"{sentence} {numbers_drawn(plan)}".rstrip()
