"""House rules as rows and as `craft.rules.Rules`: what holds in an academy today, or held then."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.rules import Label, Rules, RuleValue, standard_rules
from academy.curriculum.models import ProductLabel, RuleSet

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.people.models import Academy


def rules_of(rule_set: RuleSet | None, *, label: Label | None = None) -> Rules:
    """The rules under one number; None stands for an academy without house rules (number 0)."""
    if rule_set is None:
        return Rules(standard_rules(), label=label)
    return Rules(standard_rules(), house_of(rule_set), label, rule_set.number)


def rules_today(academy: Academy, *, label: Label | None = None) -> Rules:
    """The rules that hold in an academy today. One query."""
    return rules_of(current_rule_set(academy), label=label)


def current_rule_set(academy: Academy) -> RuleSet | None:
    return RuleSet.objects.filter(academy=academy).order_by("-number").first()


def house_of(rule_set: RuleSet | None) -> dict[str, RuleValue]:
    """The house values of a set by rule key, without keys that no rule has any more."""
    kept: Mapping[str, str] = rule_set.rules if rule_set else {}
    known = standard_rules().rules
    return {
        key: text if isinstance(known[key].default, str) else Decimal(text)
        for key, text in kept.items()
        if key in known
    }


def plain(house: Mapping[str, RuleValue]) -> dict[str, str]:
    """House values as they are kept: figures as text, without needless zeros."""
    return {
        key: value if isinstance(value, str) else f"{value.normalize():f}"
        for key, value in sorted(house.items())
    }


def label_of(row: ProductLabel) -> Label:
    """The label of a row, ready to be laid over the rules."""
    return Label.from_data({**row.fields, "name": row.name})
