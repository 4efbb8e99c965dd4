"""WCAG 2.2 contrast of the inks, computed from the style sheet that is served.

Relative luminance and contrast ratio: W3C, WCAG 2.2, definitions "relative luminance" and
"contrast ratio". AA asks 4.5 for text and 3 for the outline of a control; we hold 5 for text.
"""

from __future__ import annotations

import re

import pytest
from django.conf import settings

TEXT = [
    ("ink", "paper"),
    ("ink-2", "paper"),
    ("ink-3", "paper"),
    ("ink-3", "wash"),
    ("pen", "paper"),
    ("pen", "pen-wash"),
    ("ink", "pen-wash"),
    ("paper", "pen"),
    ("paper", "pen-down"),
    ("pen-down", "paper"),
    ("red", "paper"),
    ("red", "red-wash"),
    ("paper", "red"),
    ("on-hi", "hi"),
    ("ink", "skin"),
    ("ink", "hair"),
    ("ink-2", "wash"),
]
OUTLINES = [("edge", "paper"), ("edge", "wash"), ("pen", "paper"), ("red", "paper")]


def inks(theme: str) -> dict[str, str]:
    css = (settings.ROOT / "static/css/tokens.css").read_text(encoding="utf-8")
    block = re.search(rf'\[data-bs-theme="{theme}"\]\s*{{(.*?)}}', css, re.DOTALL)
    assert block
    return dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6});", block[1]))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_gives_the_values_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_stands_out_five_to_one(theme: str, text: str, ground: str) -> None:
    ink = inks(theme)
    assert contrast(ink[text], ink[ground]) >= 5


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("line", "ground"), OUTLINES)
def test_outlines_of_controls_stand_out_three_to_one(theme: str, line: str, ground: str) -> None:
    ink = inks(theme)
    assert contrast(ink[line], ink[ground]) >= 3


def test_both_themes_know_the_same_inks() -> None:
    assert inks("light").keys() == inks("dark").keys()


def test_no_style_sheet_but_the_tokens_names_a_colour() -> None:
    for sheet in (settings.ROOT / "static/css").glob("*.css"):
        if sheet.name in {"tokens.css", "print.css"}:
            continue
        # White and black are paper and printer's ink: a QR code needs them whatever the theme.
        named = set(re.findall(r"#[0-9a-fA-F]{3,8}\b", sheet.read_text(encoding="utf-8")))
        assert named <= {"#ffffff", "#000", "#000000"}, sheet.name
