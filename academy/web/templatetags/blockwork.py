"""Tags and filters of every page: `{% load blockwork %}`."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from django import template
from django.template import Context, TemplateSyntaxError
from django.urls import reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format, time_format
from django.utils.html import format_html
from django.utils.safestring import mark_safe

from academy.craft.head.foils import plan
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.svg import Drawing, view_svg
from academy.web.marks import GLYPHS, MARKS, Mark, mark_of
from academy.web.numbers import MINUS, NBSP, write_figure
from academy.web.words import LEVEL_WORDS, OVERALL_WORDS, ZONE_WORDS

if TYPE_CHECKING:
    from django.utils.safestring import SafeString

register = template.Library()

_PLATE_FACTS = (
    ("Drawn", "Half head, right"),
    ("Section", "6 mm, woven"),
    ("Sheet", "1 of 5 views"),
)
DASH = "\u2013"
_DAYS = {"": "j M Y", "short": "j M", "long": "l j F Y", "week": "D j M"}


@register.simple_tag
def glyph(symbol: str, css: str = "") -> SafeString:
    """One symbol of the sprite, for use beside words that say the same."""
    if symbol not in GLYPHS:
        raise TemplateSyntaxError(f"There is no symbol {symbol!r} in parts/sprite.html.")
    return format_html(
        '<svg class="i{}" viewBox="0 0 20 20" aria-hidden="true"><use href="#m-{}"/></svg>',
        f" {css}" if css else "",
        symbol,
    )


@register.simple_tag
def mark(state: Any, word: str = "", *, long: bool = False) -> SafeString:
    """A state as symbol and word: `{% mark "ready" %}`, `{% mark state "M4 ready" %}`."""
    found = mark_of(state)
    return format_html(
        '<span class="st st-{}">{}{}</span>',
        found.symbol,
        glyph(found.symbol),
        word or found.spelt(long=long),
    )


@register.filter
def mark_symbol(state: Any) -> str:
    """The class a cell wears for a state: `<td class="is-{{ state|mark_symbol }}">`."""
    return mark_of(state).symbol


@register.simple_tag
def all_marks() -> dict[str, Mark]:
    return MARKS


@register.inclusion_tag("parts/door_plate.html")
def door_plate() -> dict[str, Any]:
    """The drawing on the sign-in page: a half head laid by our own geometry."""
    return {"head": mark_safe(_plate()), "facts": _PLATE_FACTS}  # noqa: S308


@lru_cache(maxsize=1)
def _plate() -> str:
    return view_svg("right", Drawing(plan=plan("half_head", FoilSettings()), labels=False))


@register.simple_tag(takes_context=True)
def to(context: Context, name: str, **kwargs: Any) -> str:
    """Reverse in the acting academy: `{% to "practice:session-detail" token=session.token %}`."""
    return reverse(name, kwargs={"academy": context["acting"].academy.slug, **kwargs})


@register.filter
def shown(value: Decimal | float | None, places: int | None = None) -> str:
    """A figure as it is printed; nothing is shown as a dash."""
    return DASH if value is None or value == "" else write_figure(value, places)


@register.filter
def unit(value: Any, name: str) -> SafeString:
    """A figure, a space that does not break, the unit in small: `{{ grams|unit:"g" }}`."""
    figure = value if isinstance(value, str) else shown(value)
    return format_html("{}{}<small>{}</small>", figure, NBSP, name)


@register.filter
def percent(share: Decimal | float | None, places: int = 0) -> str:
    """A share of one in per cent, half rounded up: `{{ 0.845|percent }}` is 85 %."""
    if share is None:
        return DASH
    step = Decimal(1).scaleb(-places)
    figure = (Decimal(str(share)) * 100).quantize(step, ROUND_HALF_UP)
    return f"{write_figure(figure, places)}{NBSP}%"


@register.filter
def minus(value: Any) -> str:
    """A text or figure with real minus signs."""
    return str(value).replace("-", MINUS)


def _local(moment: date | datetime) -> date | datetime:
    aware = isinstance(moment, datetime) and timezone.is_aware(moment)
    return timezone.localtime(moment) if aware else moment  # type: ignore[arg-type]


@register.filter
def day(moment: date | datetime | None, style: str = "") -> str:
    """25 Nov 2026; styles: "short" 25 Nov, "week" Wed 25 Nov, "long" Wednesday 25 November 2026."""
    return date_format(_local(moment), _DAYS[style]) if moment else DASH


@register.filter
def clock(moment: datetime | time | None) -> str:
    """14:05, in the academy's time zone."""
    if moment is None:
        return DASH
    if isinstance(moment, datetime):
        moment = _local(moment)  # type: ignore[assignment]
    return time_format(moment, "H:i")


@register.filter
def level_word(level: int | None) -> str:
    return DASH if level is None else str(LEVEL_WORDS[int(level)])


@register.filter
def overall_word(rating: int | None) -> str:
    return DASH if rating is None else str(OVERALL_WORDS[int(rating)])


@register.filter
def zone_word(zone: Any) -> str:
    return str(ZONE_WORDS[str(getattr(zone, "value", zone))])
