"""The lists under `shared/` that modules and assessments refer to, read once."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from academy.craft.exercise.engine import families
from academy.craft.rules import Mode

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.rules import Rule

SHARED = Path(__file__).resolve().parents[2] / "shared"


@dataclass(frozen=True)
class Caution:
    """A sentence to print, by its id (K1 to K15). `everywhere`: it is printed on every sheet."""

    id: str
    text: str
    everywhere: bool


@dataclass(frozen=True)
class StopEvent:
    """An event that ends an assessed head at once, by its id, and what the assessor has seen."""

    id: str
    text: str


@dataclass(frozen=True)
class PracticeFault:
    """A fault that can be placed as a point on every sheet, with the word beside its symbol."""

    id: str
    word: str


@dataclass(frozen=True)
class Contraindication:
    """A question asked before every service on a person.

    `refuses` is the answer that means no oxidation colour today ("yes" or "no"); empty where the
    educator decides. `on_mannequin` marks the questions that are asked for practice too.
    """

    id: str
    question: str
    refuses: str
    on_mannequin: bool
    note: str


@cache
def cautions() -> tuple[Caution, ...]:
    return tuple(
        Caution(row["id"], row["text"], row.get("everywhere", False))
        for row in _rows("cautions.toml", "caution")
    )


@cache
def caution_ids() -> frozenset[str]:
    return frozenset(caution.id for caution in cautions())


@cache
def stop_events() -> tuple[StopEvent, ...]:
    rows = _rows("stop_events.toml", "stop_event")
    return tuple(StopEvent(row["id"], row["text"]) for row in rows)


@cache
def practice_faults() -> tuple[PracticeFault, ...]:
    rows = _rows("practice_faults.toml", "practice_fault")
    return tuple(PracticeFault(row["id"], row["word"]) for row in rows)


@cache
def contraindications() -> tuple[Contraindication, ...]:
    return tuple(
        Contraindication(
            row["id"],
            row["question"],
            row.get("refuses", ""),
            row.get("on_mannequin", False),
            row.get("note", ""),
        )
        for row in _rows("contraindications.toml", "question")
    )


@cache
def family_titles() -> Mapping[str, str]:
    """The titles of the exercise families that a module can name, by key, in their order."""
    return MappingProxyType({family.key: family.title for family in families()})


@cache
def person_words() -> frozenset[str]:
    """Words about the person instead of the work, in small letters (academy rule)."""
    data = tomllib.loads((SHARED / "person_words.toml").read_text("utf-8"))
    return frozenset(data["words"])


def source_words(keys: str) -> str:
    """The source of a standard rule in words: "Mag, UKbody" and the like, keys apart by commas."""
    named = _sources()
    return "; ".join(_one_source(key.strip(), named) for key in keys.split(","))


def behind_words(rule: Rule) -> str:
    """What stands behind a standard rule, in words."""
    words = {
        "P": _("published: %(source)s") % {"source": source_words(rule.source)},
        "C": _("common practice, no source"),
        "A": _("academy rule"),
    }[rule.standing]
    if rule.mode is Mode.LOCKED:
        words = _("fixed by law; %(words)s") % {"words": words}
    if rule.mode in {Mode.STRICTER_SMALLER, Mode.STRICTER_LARGER}:
        words = _("%(words)s; may only be made stricter") % {"words": words}
    return _("%(words)s; to be confirmed") % {"words": words} if rule.unsure else words


def _one_source(text: str, named: Mapping[str, str]) -> str:
    key, _space, rest = text.partition(" ")
    return f"{named[key]} {rest}".strip(" ,") if key in named else text


@cache
def _sources() -> Mapping[str, str]:
    return {row["key"]: row["words"] for row in _rows("rule_sources.toml", "source")}


def _rows(name: str, table: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads((SHARED / name).read_text("utf-8"))[table]
    return rows
