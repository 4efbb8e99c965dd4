"""The drawn head and the curriculum's own words: `{% load curriculum %}`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import template
from django.utils.translation import gettext as _, ngettext

from academy.craft.head.zones import ZONES
from academy.craft.measure import round_half_up
from academy.craft.rules import DecidedBy, standard_rules
from academy.curriculum.content import ModuleContent, Scope, TargetLine, TimePer, tag_words
from academy.curriculum.reference import behind_words
from academy.web.numbers import NBSP, write_figure
from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable
    from decimal import Decimal

    from academy.craft.rules import Decided
    from academy.curriculum.drawings import SheetDrawing
    from academy.curriculum.models import ModuleVersion

register = template.Library()

_TIME_FOR = {
    TimePer.WORK: "{}",
    TimePer.FOIL: "{} a foil",
    TimePer.CHECK: "{} a check",
    TimePer.PLAN: "{} for the plan",
}


@register.inclusion_tag("parts/head_sheet.html")
def head_sheet(sheet: SheetDrawing, css: str = "plan", *, scale: bool = True) -> dict[str, Any]:
    """The five views of a drawn sheet, a strip to swipe on a phone, with switches and tables."""
    label = _("Head sheet, five views: %(title)s") % {"title": sheet.title}
    return {
        "views": sheet.head.views,
        "layers": sheet.head.layers,
        "tables": sheet.head.tables,
        "label": label,
        "css": css,
        "scale": scale,
    }


@register.filter
def time_words(module: ModuleVersion | ModuleContent) -> str:
    """The time allowed: "30 min", "2.5 min a foil"."""
    minutes: Decimal = module.time_minutes
    return _(_TIME_FOR[TimePer(module.time_per)]).format(f"{write_figure(minutes)}{NBSP}min")


@register.filter
def target_words(target: TargetLine | Any) -> str:
    """A line of the practice target, a plain value or its row: "1 head, diamond"."""
    unit = str(target.unit)
    counted = f"{target.count}{NBSP}{unit.removesuffix('s') if target.count == 1 else unit}"
    return f"{counted}, {tag_words(target.tag)}" if target.tag else counted


@register.filter
def rule_source(decided: Decided) -> str:
    """What stands behind a value that the standard rule decided; "" where somebody else did."""
    rule = standard_rules().rules.get(decided.rule_key)
    return behind_words(rule) if rule and decided.decided_by is DecidedBy.DEFAULT else ""


@register.filter
def zones_words(zones: Iterable[Any]) -> str:
    """The zones with commas, or "all seven zones"; empty for none."""
    words = [str(ZONE_WORDS[str(getattr(zone, "value", zone))]) for zone in zones]
    return _("all seven zones") if len(words) == len(ZONES) else ", ".join(words)


@register.filter
def scope_words(scope: Scope | str) -> str:
    return _("each judged zone") if Scope(scope) is Scope.ZONES else _("whole head")


@register.filter
def heads_words(count: int) -> str:
    """What it takes before sign-off: "2 heads in a row"."""
    return ngettext("%(count)d head", "%(count)d heads in a row", count) % {"count": count}


@register.filter
def spaced(key: str) -> str:
    """A key as words: "high_lift" is "high lift"."""
    return key.replace("_", " ")


@register.filter
def rounded(value: Decimal, places: int) -> Decimal:
    """At most so many decimals, halves up; needless ones are left out when it is printed."""
    return round_half_up(value, places)
