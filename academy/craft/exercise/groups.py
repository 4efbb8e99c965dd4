"""Kinds of exercise families, for a list that has grown long."""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING, Any

from academy.craft.exercise.engine import (
    Level,
    draw,
    families,
    family_of,
    has_picture,
    made_from_a_module,
)
from academy.craft.measure import Kind
from academy.craft.rules import Rules, standard_rules

if TYPE_CHECKING:
    from academy.craft.exercise.family import Family


class Group(StrEnum):
    """What an exercise asks for: a sum, a look at a picture, or the order of steps."""

    CALCULATION = "calculation"
    EYE = "eye"
    ORDER = "order"


def by_group() -> dict[Group, list[Family[Any]]]:
    """The newest version of every family, in teaching order, under its group."""
    found: dict[Group, list[Family[Any]]] = {group: [] for group in Group}
    for family in families():
        found[group_of(family.key)].append(family)
    return found


@cache
def group_of(key: str) -> Group:
    """The group of a family, from what its questions are: nothing of it is written twice."""
    family = family_of(key)
    if made_from_a_module(family):
        return Group.ORDER
    if has_picture(family):
        return Group.EYE
    sample = draw(key, Level.WORKING, 0, Rules(standard_rules()))
    orders = all(field.kind is Kind.ORDER for field in sample.fields)
    return Group.ORDER if orders else Group.CALCULATION
