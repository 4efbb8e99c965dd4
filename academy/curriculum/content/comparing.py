"""What changed between two editions of a module, in sentences an educator reads."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.curriculum.content.shape import (
    LEVEL_COUNT,
    CriterionContent,
    ModuleContent,
    Scope,
    SheetContent,
    SheetKind,
)
from academy.curriculum.content.sheets import drawn_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from decimal import Decimal

SECTION_WORDS = {
    "families": "exercise families",
    "needs": "needed modules",
    "cautions": "cautions",
    "judged_zones": "judged zones",
    "steps": "steps",
    "faults": "faults",
    "criteria": "criteria",
    "targets": "practice targets",
    "sheets": "sheets",
}
ORDER_MATTERS = ("steps", "criteria", "sheets")
SCOPE_WORDS = {Scope.ZONES: "in each judged zone", Scope.HEAD: "once for the head"}


class Change(StrEnum):
    """What happened to a part of a module."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"
    MOVED = "moved"


@dataclass(frozen=True)
class Difference:
    """One change: the section it is in, what happened, both values in words, and the sentence."""

    field: str
    change: Change
    old: str
    new: str
    sentence: str


@dataclass(frozen=True)
class _Item:
    """A part of a module that is followed from edition to edition by its section and key."""

    section: str
    key: str
    label: str
    facts: Mapping[str, str]

    @property
    def words(self) -> str:
        return "; ".join(f"{name}: {value}" for name, value in self.facts.items() if value)


def differences(old: ModuleContent, new: ModuleContent) -> list[Difference]:
    """Every change from `old` to `new`, in the order of the module's page; empty when equal.

    Criteria are followed by code, steps by head, faults by name, targets by unit and tag, sheets by
    pattern and zone: a renamed one reads as one taken out and one added. The key of a module never
    changes and is not compared.
    """
    before = {(item.section, item.key): item for item in _items(old)}
    after = {(item.section, item.key): item for item in _items(new)}
    found = [
        Difference(
            item.section, Change.REMOVED, item.words or item.key, "", f"{item.label}: taken out."
        )
        for place, item in before.items()
        if place not in after
    ]
    for place, item in after.items():
        if place in before:
            found += _changes(before[place], item)
        else:
            words = item.words or item.key
            found.append(Difference(item.section, Change.ADDED, "", words, f"{item.label}: added."))
    found += _moves(before, after)
    sections = ["module", *SECTION_WORDS]
    return sorted(found, key=lambda difference: sections.index(difference.field))


def _changes(before: _Item, after: _Item) -> Iterator[Difference]:
    for name, new in after.facts.items():
        old = before.facts[name]
        if old != new:
            label = f"{after.label}, {name}" if after.label else name
            sentence = f"{label}: was {_quoted(old)}, now {_quoted(new)}."
            yield Difference(after.section, Change.CHANGED, old, new, sentence)


def _moves(
    before: Mapping[tuple[str, str], _Item], after: Mapping[tuple[str, str], _Item]
) -> Iterator[Difference]:
    for section in ORDER_MATTERS:
        old = [key for place, key in before if place == section and (place, key) in after]
        new = [key for place, key in after if place == section and (place, key) in before]
        if old != new:
            sentence = f"The order of the {SECTION_WORDS[section]} changed."
            yield Difference(section, Change.MOVED, ", ".join(old), ", ".join(new), sentence)


def _quoted(text: str) -> str:
    return f"“{text}”" if text else "empty"


def _items(content: ModuleContent) -> Iterator[_Item]:
    yield _Item("module", "", "", _whole_facts(content))
    yield from (_Item("families", key, f"Exercise family {key}", {}) for key in content.families)
    yield from (_Item("needs", key, f"Needed module {key}", {}) for key in content.needs)
    yield from (_Item("cautions", key, f"Caution {key}", {}) for key in content.cautions)
    for zone in content.judged_zones:
        yield _Item("judged_zones", zone, f"Judged zone {zone.replace('_', ' ')}", {})
    for step in content.steps:
        facts = {"text": step.text, "to be confirmed": _yes(step.to_confirm)}
        yield _Item("steps", step.head, f"Step “{step.head}”", facts)
    for fault in content.faults:
        facts = {"likely cause": fault.cause}
        yield _Item("faults", fault.fault, f"Fault “{fault.fault}”", facts)
    for criterion in content.criteria:
        label = f"Criterion {criterion.code}"
        yield _Item("criteria", criterion.code, label, _criterion_facts(criterion))
    for line in content.targets:
        name = f"{line.unit} {line.tag}".strip()
        yield _Item("targets", name, f"Practice target {name}", {"count": str(line.count)})
    yield from _sheet_items(content.sheets)


def _whole_facts(content: ModuleContent) -> dict[str, str]:
    return {
        "Title": content.title,
        "Purpose": content.purpose,
        "Assessed heads in a row": str(content.heads_required),
        "Months in date": str(content.months_valid),
        "Minutes allowed": _number(content.time_minutes),
        "Minutes are for one": content.time_per.value,
        "Note on the time": content.time_note,
    }


def _criterion_facts(criterion: CriterionContent) -> dict[str, str]:
    levels = [*criterion.levels, *("",) * LEVEL_COUNT][:LEVEL_COUNT]
    return {
        "what is judged": criterion.title,
        "where": SCOPE_WORDS[criterion.scope],
        "weight": str(criterion.weight),
        "must-pass": _yes(criterion.must_pass),
        "reason of the must-pass": criterion.must_pass_reason,
        **{f"level {n}": text for n, text in enumerate(levels)},
        "to be confirmed": _yes(criterion.to_confirm),
    }


def _sheet_items(sheets: tuple[SheetContent, ...]) -> Iterator[_Item]:
    seen: Counter[str] = Counter()
    for sheet in sheets:
        what = "zones" if sheet.kind is SheetKind.ZONES else sheet.pattern.replace("_", " ")
        name = f"{what}, {sheet.zone.replace('_', ' ')}" if sheet.zone else what
        seen[name] += 1
        key = name if seen[name] == 1 else f"{name} ({seen[name]})"
        yield _Item("sheets", key, f"Sheet {key}", _sheet_facts(sheet))


def _sheet_facts(sheet: SheetContent) -> dict[str, str]:
    sizes = {
        "section depth": sheet.depth_mm,
        "left between": sheet.left_mm,
        "stitch": sheet.stitch_mm,
        "gap": sheet.gap_mm,
        "foil width": sheet.foil_mm,
    }
    return {
        **{name: f"{_number(size)} mm" if size is not None else "" for name, size in sizes.items()},
        "drawn": drawn_words(sheet.drawn),
        "note": sheet.note,
        "to be confirmed": _yes(sheet.to_confirm),
    }


def _number(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _yes(flag: bool) -> str:
    return "yes" if flag else "no"
