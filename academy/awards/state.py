"""What a certificate is worth on a day, from its events. Plain values, no database."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date


class State(StrEnum):
    """In the order in which one hides the other."""

    WITHDRAWN = "withdrawn"
    REPLACED = "replaced"
    SUSPENDED = "suspended"
    LAPSED = "lapsed"
    VALID = "valid"


@dataclass(frozen=True)
class Happened:
    """One event: its kind ("issued", "withdrawn", …) and the day it happened."""

    kind: str
    on: date


@dataclass(frozen=True)
class Standing:
    """The state, and the day since which it holds (until which, for a valid one)."""

    state: State
    on: date


def standing(events: Iterable[Happened], *, valid_until: date, today: date) -> Standing:
    """Withdrawn before replaced before suspended before lapsed before valid (design.md 5)."""
    last: dict[str, date] = {}
    order: list[str] = []
    for event in events:
        last[event.kind] = event.on
        order.append(event.kind)
    for state in (State.WITHDRAWN, State.REPLACED):
        if state in last:
            return Standing(state, last[state])
    if _suspended(order):
        return Standing(State.SUSPENDED, last["suspended"])
    if "lapsed" in last:
        return Standing(State.LAPSED, last["lapsed"])
    if valid_until < today:
        return Standing(State.LAPSED, valid_until)
    return Standing(State.VALID, valid_until)


def _suspended(order: list[str]) -> bool:
    turns = [kind for kind in order if kind in {"suspended", "restored"}]
    return bool(turns) and turns[-1] == "suspended"


def masked(name: str) -> str:
    """A name as the public page shows it without consent: "E… C…"."""
    return " ".join(f"{word[0]}…" for word in name.split())
