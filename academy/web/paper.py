"""Makes a page ready for the PDF engine, which draws each SVG as a document of its own.

WeasyPrint shows an inline SVG none of the page's rules, symbols or patterns (measured with 70.0),
so each one gets the few that it needs. Pages for browsers are never changed.
"""

from __future__ import annotations

import re
from functools import cache

from django.conf import settings
from django.template.loader import render_to_string

_LINK = re.compile(r"<link\b[^>]*>")
_SVG = re.compile(r"(<svg\b[^>]*>)(.*?)(</svg>)", re.DOTALL)
_USE = re.compile(r'<use href="#m-([a-z]+)"\s*/>(?:</use>)?')
_SYMBOL = re.compile(r'<symbol id="m-([a-z]+)"[^>]*>(.*?)</symbol>', re.DOTALL)
_PATTERN = re.compile(r'<pattern id="(k\d)".*?</pattern>', re.DOTALL)
_TOKEN = re.compile(r"(--[a-z0-9-]+): ([^;]+);")
_VAR = re.compile(r"var\((--[a-z0-9-]+)\)")


def self_contained(html: str) -> str:
    """The page with every drawn head and every mark carrying its own rules and shapes.

    Links to style sheets go: the engine is handed paper.css already parsed.
    """
    return _SVG.sub(lambda found: _ready(*found.groups()), _LINK.sub("", html))


def _ready(start: str, inside: str, end: str) -> str:
    if 'class="sprite"' in start:
        return ""
    symbols, patterns, style = _drawing_kit()
    inside = _USE.sub(lambda found: symbols[found[1]], inside)
    if 'class="hd' in start:
        needed = "".join(pattern for name, pattern in patterns.items() if f"#{name})" in inside)
        inside = f"<style>{style}</style><defs>{needed}</defs>{inside}"
    ink = "var(--red)" if "marked" in start else "var(--ink)"
    return _plain(f"{start}{inside}".replace("currentcolor", ink)) + end


@cache
def _drawing_kit() -> tuple[dict[str, str], dict[str, str], str]:
    """Symbols and hatching by name, and the rules of a head with the light inks in them."""
    sprite = render_to_string("parts/sprite.html")
    symbols = dict(_SYMBOL.findall(sprite))
    patterns = {found[1]: found[0] for found in _PATTERN.finditer(sprite)}
    rules = (settings.ROOT / "static/css/head.css").read_text(encoding="utf-8")
    rules = rules.partition("/* on a page */")[0]
    return symbols, patterns, _plain(re.sub(r"\s+", " ", rules))


def _plain(text: str) -> str:
    """Names of inks replaced by the inks: the SVG engine knows no `var()`."""
    inks = _light_inks()
    return _VAR.sub(lambda found: inks[found[1]], text)


@cache
def _light_inks() -> dict[str, str]:
    css = (settings.ROOT / "static/css/tokens.css").read_text(encoding="utf-8")
    light = css.partition('[data-bs-theme="dark"]')[0]
    fonts = {"--font": "Atkinson Next", "--mono": "Atkinson Mono"}
    return {**dict(_TOKEN.findall(light)), **fonts}
