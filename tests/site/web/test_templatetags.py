from __future__ import annotations

from datetime import UTC, date, datetime, time
from decimal import Decimal
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from django.http import HttpResponse
from django.template import Context, Template, TemplateSyntaxError
from django.template.loader import render_to_string
from django.urls import path
from django.utils import timezone

from academy.craft.head.zones import Zone
from academy.web.marks import GLYPHS, MARKS
from academy.web.templatetags import blockwork as tags

urlpatterns = [path("<slug:academy>/rows/<int:row>/", lambda _request: HttpResponse(), name="row")]


def shown(source: str, **context: object) -> str:
    return Template("{% load blockwork %}" + source).render(Context(context))


def test_a_mark_is_a_symbol_and_a_word() -> None:
    html = shown('{% mark "ready" %}')
    assert html.startswith('<span class="st st-ready"><svg class="i"')
    assert 'href="#m-ready"' in html
    assert html.endswith("</svg>ready</span>")


def test_a_mark_takes_words_of_its_own_and_escapes_them() -> None:
    assert "M4 &lt;ready&gt;" in shown('{% mark "ready" words %}', words="M4 <ready>")


def test_a_legend_spells_marks_out() -> None:
    assert "needs verification" in shown('{% mark "verify" long=True %}')


def test_a_state_that_does_not_exist_is_a_mistake_and_not_an_empty_mark() -> None:
    with pytest.raises(KeyError):
        shown('{% mark "nearly" %}')
    with pytest.raises(TemplateSyntaxError):
        shown('{% glyph "heart" %}')


@pytest.mark.parametrize("symbol", sorted(GLYPHS))
def test_every_symbol_is_in_the_sprite(symbol: str) -> None:
    assert f'id="m-{symbol}"' in render_to_string("parts/sprite.html")


def test_every_mark_has_a_word() -> None:
    assert all(str(mark.word) for mark in MARKS.values())


def test_every_word_of_a_mark_begins_small_so_that_they_stand_beside_each_other() -> None:
    words = [word for mark in MARKS.values() for word in (str(mark.word), str(mark.long)) if word]
    assert [word for word in words if not word[0].islower()] == []


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (Decimal("30.0"), None, "30"),
        (Decimal("3.60"), None, "3.6"),
        (Decimal("3.6"), 2, "3.60"),
        (Decimal("0.125"), 2, "0.13"),
        (Decimal("-0.34"), None, "−0.34"),
        (Decimal("-0.001"), 2, "0.00"),
        (7190442, None, "7\u202f190\u202f442"),
        (1240, None, "1240"),
        (0.1, None, "0.1"),
        (None, None, "–"),
        (Decimal("1E+2"), None, "100"),
    ],
)
def test_a_figure_is_printed_plainly(value: object, places: int | None, text: str) -> None:
    assert tags.shown(value, places) == text  # type: ignore[arg-type]


def test_a_unit_is_small_and_never_left_alone_on_a_line() -> None:
    assert shown('{{ 45|unit:"g" }}') == "45\u00a0<small>g</small>"


def test_a_share_is_printed_in_per_cent_with_halves_up() -> None:
    assert tags.percent(Decimal("0.845")) == "85\u00a0%"
    assert tags.percent(0.29) == "29\u00a0%"
    assert tags.percent(Decimal("0.0365"), 1) == "3.7\u00a0%"
    assert tags.percent(None) == "–"


def test_a_plot_has_real_minus_signs() -> None:
    assert tags.minus("-0.2") == "−0.2"


def test_days_and_times_are_those_of_the_academy() -> None:
    late = datetime(2026, 11, 25, 23, 30, tzinfo=UTC)
    with timezone.override(ZoneInfo("Europe/Berlin")):
        assert tags.day(late) == "26 Nov 2026"
        assert tags.clock(late) == "00:30"


@pytest.mark.parametrize(
    ("style", "text"),
    [
        ("", "25 Nov 2026"),
        ("short", "25 Nov"),
        ("week", "Wed 25 Nov"),
        ("long", "Wednesday 25 November 2026"),
    ],
)
def test_a_day_has_four_lengths(style: str, text: str) -> None:
    assert tags.day(date(2026, 11, 25), style) == text


def test_a_clock_has_24_hours() -> None:
    assert tags.clock(time(14, 5)) == "14:05"
    assert tags.clock(None) == "–"


def test_levels_ratings_and_zones_are_spelt_one_way() -> None:
    assert tags.level_word(3) == "sound"
    assert tags.level_word(None) == "–"
    assert tags.overall_word(1) == "clearly not yet"
    assert tags.zone_word(SimpleNamespace(value="side_left")) == "left side"


def test_every_zone_of_the_head_has_a_word() -> None:
    assert all(tags.zone_word(zone) for zone in Zone)


@pytest.mark.urls(__name__)
def test_an_address_lies_in_the_acting_academy() -> None:
    acting = SimpleNamespace(academy=SimpleNamespace(slug="larkmere"))
    assert shown('{% to "row" row=7 %}', acting=acting) == "/larkmere/rows/7/"
