"""Reads the drawings of the eye exercises back: what is drawn, by the file itself."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree import ElementTree

from academy.craft.colour.spaces import Lab, lab_from_hex
from academy.craft.exercise.engine import Picture, Question, picture_of

TAGS = {"svg", "g", "path", "rect", "circle", "text"}
SHAPE = re.compile(r'<path fill="(#[0-9a-f]{6})" d="M(-?\d+) (-?\d+)([^"]*)"/>')
WIDE = re.compile(r"h(-?\d+)")


def drawn(question: Question) -> Picture:
    picture = picture_of(question)
    assert picture is not None
    return picture


def is_fit_for_a_page(picture: Picture, most_bytes: int) -> None:
    """Well-formed, small, spoken, in view, and nothing in it that a page's policy refuses."""
    root = ElementTree.fromstring(picture.svg)  # noqa: S314  (our own drawing)
    assert len(picture.svg.encode()) <= most_bytes
    assert root.attrib["viewBox"]
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-label"] == picture.words
    for element in root.iter():
        assert element.tag.removeprefix("{http://www.w3.org/2000/svg}") in TAGS
        names = set(element.attrib)
        assert not {"style", "href", "id"} & names
        assert not any(name.startswith("on") for name in names)


def strands(picture: Picture) -> list[tuple[int, int, Lab]]:
    """Left edge, width and colour of each strand that hangs from the band, from left to right."""
    found = [
        (int(left), int(wide[1]), lab_from_hex(colour))
        for colour, left, _, data in SHAPE.findall(picture.svg)
        if (wide := WIDE.search(data)) and "s" in data
    ]
    return sorted(found, key=lambda strand: strand[0] + strand[1] / 2)


def per_cent(part: int, whole: int) -> Fraction:
    return Fraction(100 * part, whole)
