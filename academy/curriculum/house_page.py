"""The house rules as people read them: by group, what holds, the range, what stands behind."""

from __future__ import annotations

from dataclasses import dataclass
from os.path import commonpath
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from academy.craft.rules import Mode, Rule, RuleValue, standard_rules
from academy.curriculum.house import house_of
from academy.curriculum.models import RuleSet
from academy.curriculum.reference import behind_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.people.models import Academy


@dataclass(frozen=True)
class RuleRow:
    """One rule as it holds now; `own` is the house value as text, empty under the standard."""

    rule: Rule
    words: str
    holds: str
    own: str
    behind: str

    @property
    def locked(self) -> bool:
        return self.rule.mode is Mode.LOCKED

    @property
    def standard(self) -> str:
        return self.rule.shown(self.rule.default)


@dataclass(frozen=True)
class RuleGroup:
    """Rules that belong together, changed on one page."""

    key: str
    name: str
    rows: tuple[RuleRow, ...]

    @property
    def changeable(self) -> bool:
        return not all(row.locked for row in self.rows)


@dataclass(frozen=True)
class SetRow:
    """A set of house rules with what it changed against the one before."""

    rule_set: RuleSet
    changes: tuple[str, ...]


def groups(house: Mapping[str, RuleValue]) -> list[RuleGroup]:
    """All groups, under these house values."""
    found: dict[str, list[Rule]] = {}
    for key, rule in standard_rules().rules.items():
        found.setdefault(key.partition(".")[0], []).append(rule)
    return [_group(key, rules, house) for key, rules in found.items()]


def _group(key: str, rules: Sequence[Rule], house: Mapping[str, RuleValue]) -> RuleGroup:
    name = _common_name(rules)
    rows = tuple(
        RuleRow(
            rule,
            rule.name.removeprefix(f"{name}, ") or name,
            rule.shown(house.get(rule.key, rule.default)),
            rule.shown(house[rule.key]) if rule.key in house else "",
            behind_words(rule),
        )
        for rule in rules
    )
    return RuleGroup(key, name, rows)


def _common_name(rules: Sequence[Rule]) -> str:
    if len(rules) == 1:
        return rules[0].name
    return commonpath([rule.name for rule in rules]).rpartition(", ")[0] or rules[0].name


def set_rows(academy: Academy) -> list[SetRow]:
    """The history of house rules, the newest first. One query."""
    sets = list(
        RuleSet.objects.filter(academy=academy).select_related("made_by").order_by("-number")
    )
    befores: list[RuleSet | None] = [*sets[1:], None][: len(sets)]
    return [
        SetRow(made, tuple(_changes(house_of(before), house_of(made))))
        for made, before in zip(sets, befores, strict=True)
    ]


def _changes(before: Mapping[str, RuleValue], after: Mapping[str, RuleValue]) -> list[str]:
    rules = standard_rules().rules
    return [
        _("%(name)s: was %(old)s, now %(new)s.")
        % {
            "name": rules[key].name,
            "old": rules[key].shown(before.get(key, rules[key].default)),
            "new": rules[key].shown(after.get(key, rules[key].default)),
        }
        for key in sorted({*before, *after})
        if before.get(key) != after.get(key)
    ]
