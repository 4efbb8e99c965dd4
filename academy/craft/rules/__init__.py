"""Which value decides: legal lock, product label, house rule or standard rule, with its sentence.

The standard rules and the training labels are data (``shared/rules/``). An educator's house rules
and a product label are laid over them; every value that comes out says who decided it.
"""

from __future__ import annotations

from academy.craft.rules.book import (
    Mode,
    Rule,
    RuleBook,
    RuleError,
    RuleValue,
    check_house_value,
)
from academy.craft.rules.deciding import Decided, DecidedBy, Rules
from academy.craft.rules.label import Label
from academy.craft.rules.shipped import standard_rules, training_labels

__all__ = [
    "Decided",
    "DecidedBy",
    "Label",
    "Mode",
    "Rule",
    "RuleBook",
    "RuleError",
    "RuleValue",
    "Rules",
    "check_house_value",
    "standard_rules",
    "training_labels",
]
