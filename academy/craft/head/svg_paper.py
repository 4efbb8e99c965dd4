"""Views for a PDF, whose maker reads no style sheet but one inside a drawing.

It also knows neither custom properties nor `paint-order`, so values are filled in and the halo of
a heat figure is a second text below it. Not for web pages: their policy refuses inner styles.
"""

from __future__ import annotations

import re

from academy.craft.head.svg import hatch_defs

_PROPERTY = re.compile(r"--([\w-]+)\s*:\s*([^;}]+)")
_USE = re.compile(r"var\(--([\w-]+)\)")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_RULE = re.compile(r"([^{}@]+)\{([^{}]*)\}")
_OF_A_HEAD = re.compile(r"\.(hd-|heat\b)")
_HALO = "paint-order"
_WORDS = re.compile(r'<text class="(hd-(?:label|value)[^"]*)"([^<]*</text>)')
_DEEPEST = 4  # custom properties within custom properties


def paper_rules(tokens_css: str, head_css: str) -> str:
    """The rules of a head's parts with every custom property replaced by its first, light value.

    Rules of the page around a drawing are left out. KeyError for a property without a value: the
    part would come out black without a word.
    """
    values: dict[str, str] = {}
    for name, value in _PROPERTY.findall(_COMMENT.sub("", tokens_css)):
        values.setdefault(name, value.strip())
    rules = []
    for selector, body in _RULE.findall(_COMMENT.sub("", head_css)):
        if _OF_A_HEAD.search(selector):
            parts = [part.strip() for part in selector.split(",")]
            if _HALO in body:
                parts = [f"{part}.hd-halo" for part in parts]
            rules.append(f"{','.join(parts)}{{{' '.join(_resolved(body, values).split())}}}")
    return "\n".join(rules)


def on_paper(svg: str, rules: str) -> str:
    """A view from `view_svg` that carries its rules, and its hatches where it shows heat."""
    opening, rest = svg.split(">", 1)
    if ' class="hd heat"' in opening:
        haloed = _WORDS.sub(r'<text class="\1 hd-halo"\2<text class="\1"\2', rest)
        rest = hatch_defs() + haloed
    return f"{opening}><style>{rules}</style>{rest}"


def _resolved(body: str, values: dict[str, str]) -> str:
    for _ in range(_DEEPEST):
        body = _USE.sub(lambda use: values[use[1]], body)
    return body
