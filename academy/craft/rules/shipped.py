"""The rules and training labels that come with the project."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from academy.craft.rules.book import RuleBook
from academy.craft.rules.label import Label

if TYPE_CHECKING:
    from collections.abc import Mapping

SHARED_RULES = Path(__file__).resolve().parents[3] / "shared" / "rules"


@cache
def standard_rules() -> RuleBook:
    """The rules shipped with the project, read once."""
    return RuleBook.from_toml((SHARED_RULES / "default.toml").read_text(encoding="utf-8"))


@cache
def training_labels() -> Mapping[str, Label]:
    """The invented training products by key, read once. None of them is a real product."""
    text = (SHARED_RULES / "training_labels.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text, parse_float=Decimal)
    return {key: Label.from_data(entry) for key, entry in data["label"].items()}
