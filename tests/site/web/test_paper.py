from __future__ import annotations

from django.template.loader import render_to_string

from academy.craft.head.svg import Drawing, view_svg
from academy.craft.head.zones import Zone
from academy.web.paper import self_contained
from academy.web.templatetags.blockwork import glyph, mark


def test_a_mark_carries_its_own_shape() -> None:
    html = self_contained(mark("competent"))
    assert "<use" not in html
    assert "<path" in html
    assert "currentcolor" not in html


def test_a_red_mark_stays_red() -> None:
    assert "#b02c17" in self_contained(glyph("wrong", "marked"))
    assert "#15181c" in self_contained(glyph("right"))


def test_a_drawn_head_carries_the_rules_and_the_hatching_it_needs() -> None:
    html = self_contained(view_svg("back", Drawing(heat={Zone.CROWN: 0.16, Zone.NAPE: 0.5})))
    assert "<style>" in html
    assert "var(" not in html
    assert 'id="k2"' in html
    assert 'id="k4"' in html
    assert 'id="k1"' not in html


def test_the_sprite_and_links_stay_behind() -> None:
    page = '<link rel="stylesheet" href="/x.css">' + render_to_string("parts/sprite.html")
    assert "<link" not in self_contained(page)
    assert "<svg" not in self_contained(page)


def test_other_drawings_are_left_as_they_are() -> None:
    code = '<svg viewBox="0 0 9 9"><path stroke="#000" d="M2 2h7"/></svg>'
    assert self_contained(code) == code


def test_ink_on_the_drawing_itself_is_filled_in_too() -> None:
    """The engine stops drawing at a colour that it does not know (measured with 70.0)."""
    drawn = self_contained('<svg viewBox="0 0 1 1" stroke="currentcolor"><path d="M0 0"/></svg>')
    assert "currentcolor" not in drawn
