"""The drawn clock of a head: what stands where, read back from the drawing."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings as slower, strategies as st

from academy.craft.timing.head_clock import ClockSettings, HeadClock, head_clock
from academy.craft.timing.timeline_marks import hatching, number
from academy.craft.timing.timeline_svg import LEFT, RIGHT, WIDTH, in_words, timeline_svg
from tests.craft.timing.heads import ROOTS, D, laid, usual
from tests.craft.timing.test_head_clock import HALF_HEAD, TEN, figures

SHEET = Path(__file__).resolve().parents[3] / "static" / "css" / "timeline.css"
PLANS = {
    "6 foils": head_clock(laid(6, 1), usual()),
    "74 foils": head_clock(laid(74, 1), usual(pace=D("0.4"), roots=ROOTS)),
    "ten and roots": TEN,
    "half a head": HALF_HEAD,
    "past midnight": head_clock(laid(12), usual(starts_at=D(1400), roots=ROOTS)),
}


def drawn(head: HeadClock) -> ET.Element:
    # Our own drawing, so that no outside entity can be in it.
    return ET.fromstring(re.sub(r' xmlns="[^"]+"', "", timeline_svg(head)))  # noqa: S314


def shapes(svg: ET.Element, css: str) -> list[ET.Element]:
    return [shape for shape in svg.iter() if css in shape.get("class", "").split()]


def texts(svg: ET.Element, css: str) -> list[str]:
    return [shape.text or "" for shape in shapes(svg, css)]


def scale(svg: ET.Element) -> tuple[float, float]:
    """Minutes after midnight of the first printed hour, at LEFT, and units a minute."""
    top = min(float(shape.get("y", "")) for shape in shapes(svg, "tl-tick"))
    ticks = [shape for shape in shapes(svg, "tl-tick") if float(shape.get("y", "")) == top]
    first, last = (
        (int(t.text[:2]) * 60 + int(t.text[3:])) for t in (ticks[0], ticks[-1]) if t.text
    )
    assert float(ticks[0].get("x", "")) == LEFT
    return first, (float(ticks[-1].get("x", "")) - LEFT) / ((last - first) % 1440)


def at(minutes: Decimal, svg: ET.Element) -> float:
    begins, a_minute = scale(svg)
    return LEFT + (float(minutes) - begins) * a_minute


@pytest.mark.parametrize("name", PLANS)
def test_it_is_one_picture_with_words_and_without_colours(name: str) -> None:
    svg = drawn(PLANS[name])
    assert svg.get("role") == "img"
    assert svg.get("aria-label") == in_words(PLANS[name])
    assert (svg.get("viewBox") or "").startswith(f"0 0 {WIDTH} ")
    named = {name for shape in svg.iter() for name in shape.attrib}
    assert not named & {"fill", "stroke", "style", "id", "opacity"}
    assert all(shape.get("class", "").startswith("tl") for shape in svg.iter())


def test_every_class_has_a_rule_and_every_rule_a_class() -> None:
    used = {
        css
        for head in PLANS.values()
        for shape in drawn(head).iter()
        for css in shape.get("class", "").split()
    }
    ruled = set(re.findall(r"\.(tl[a-z-]*)", SHEET.read_text(encoding="utf-8")))
    assert ruled <= used
    # Those of a lead or flag that differ in nothing from the others need none.
    assert used - ruled <= {"tl-row", "tl-lead-look", "tl-flag-look"}


@pytest.mark.parametrize("name", PLANS)
def test_bars_begin_and_end_at_their_minutes(name: str) -> None:
    head, svg = PLANS[name], drawn(PLANS[name])
    first = int(bool(head.settings.roots))
    least = [rect for rect in shapes(svg, "tl-least") if float(rect.get("x", "")) >= LEFT]
    starts = [float(rect.get("x", "")) for rect in least][first : first + len(head.partings)]
    right = [at(parting.first_closed, svg) for parting in head.partings]
    assert starts == pytest.approx(right, abs=0.11)
    closed = "".join(shape.get("d", "") for shape in shapes(svg, "tl-closed"))
    ticks = [float(x) for x in re.findall(r"M([\d.]+)", closed)]
    for foil in head.foils:
        assert min(abs(x - at(foil.closed, svg)) for x in ticks) < 0.11


@pytest.mark.parametrize("name", PLANS)
def test_the_rinse_window_and_the_ceilings_lie_at_their_minutes(name: str) -> None:
    head, svg = PLANS[name], drawn(PLANS[name])
    bands = shapes(svg, "tl-window")
    assert len(bands) == head.possible
    for band in bands:
        left, width = float(band.get("x", "")), float(band.get("width", ""))
        assert (left, left + width) == pytest.approx(
            (at(head.earliest, svg), at(head.latest, svg)), abs=0.21
        )
    marks = [float((s.get("d") or "")[1:].split()[0]) for s in shapes(svg, "tl-ceiling")]
    assert min(abs(x - at(head.foil_ceiling, svg)) for x in marks) < 0.11
    if head.root_latest is not None:
        assert min(abs(x - at(head.root_latest, svg)) for x in marks) < 0.11


def test_ceilings_looks_and_the_rinse_are_named_with_their_times() -> None:
    flags = texts(drawn(TEN), "tl-flag")
    assert flags == [
        "Ceiling of foil 1 11:17",
        "Ceiling of the roots 11:10",
        "Last foil ready 11:05",
        "Joint rinse 11:05 to 11:10",
        "Look at the roots 11:00",
        "First look at the foils 10:47",
    ]
    assert len(shapes(drawn(TEN), "tl-edge")) == 1


def test_rows_are_named_by_foils_and_section_and_say_their_exposure() -> None:
    svg = drawn(TEN)
    assert texts(svg, "tl-row") == [
        "Root colour",
        "1 to 2 crown",
        "3 to 4 crown",
        "5 to 6 left side",
        "7 to 8 right side",
        "9 to 10 top",
    ]
    assert texts(svg, "tl-figure") == [
        "min at 11:05",
        "45",
        "38 to 36",
        "34 to 32",
        "30 to 28",
        "26 to 24",
        "22 to 20",
    ]


def test_without_a_joint_rinse_each_row_says_when_it_must_be_out() -> None:
    found = texts(drawn(HALF_HEAD), "tl-figure")
    assert found[:3] == ["out by", "10:52", "10:56"]
    assert found[-1] == "12:12"
    assert not [words for words in texts(drawn(HALF_HEAD), "tl-flag") if "Joint" in words]
    assert "No joint rinse, foils come out singly until 12:12." in in_words(HALF_HEAD)


def test_a_long_name_of_a_section_is_cut_short() -> None:
    foils = [replace(foil, section="the strip behind the left hairline") for foil in laid(2)]
    (row,) = texts(drawn(head_clock(foils, usual())), "tl-row")
    assert row.endswith("…")
    assert len(row) <= 27


def test_an_ear_that_hears_it_gets_the_same_times() -> None:
    assert in_words(TEN) == (
        "Timeline from 10:00 to 11:17. Root colour goes on from 10:00 to 10:20, is looked at at "
        "11:00 and must be out by 11:10. 10 foils on 5 partings, closed from 10:27 to 10:45; first "
        "look at 10:47, last one ready at 11:05. Foil 1 must be out by 11:17. Joint rinse from "
        "11:05 to 11:10."
    )
    one = in_words(head_clock(laid(1), usual()))
    assert "1 foil on 1 parting, closed at 10:02" in one


@slower(max_examples=60, deadline=None)
@given(st.integers(1, 80), st.integers(1, 3), figures())
def test_nothing_leaves_the_paper_and_no_two_rows_or_names_meet(
    count: int, a_parting: int, given: ClockSettings
) -> None:
    head = head_clock(laid(count, a_parting), given)
    svg = drawn(head)
    height = float((svg.get("viewBox") or "").split()[3])
    for shape in svg.iter("text"):
        assert 0 <= float(shape.get("x", "")) <= WIDTH
        assert 0 < float(shape.get("y", "")) <= height
    for rect in svg.iter("rect"):
        left, width = float(rect.get("x", "")), float(rect.get("width", ""))
        assert left >= 0
        assert left + width <= max(RIGHT, LEFT) + 0.2
    rows = [float(shape.get("y", "")) for shape in shapes(svg, "tl-row")]
    assert all(below - above >= 20 for above, below in pairwise(rows))
    names = sorted(float(shape.get("y", "")) for shape in shapes(svg, "tl-flag"))
    assert all(below - above >= 17 for above, below in pairwise(names))
    assert names[-1] < rows[0] - 12
    hours = sorted({(float(s.get("y", "")), float(s.get("x", ""))) for s in shapes(svg, "tl-tick")})
    assert all(right - left > 34 for (y, left), (z, right) in pairwise(hours) if y == z)


@given(st.floats(0, 300), st.floats(0, 300), st.floats(0, 200), st.floats(1, 30))
def test_hatching_stays_within_its_box(
    left: float, top: float, width: float, height: float
) -> None:
    found = re.findall(r"[ML]([\d.]+) ([\d.]+)", hatching(left, top, width, height))
    assert len(found) >= 2 * int(width // 6)
    for x, y in found:
        assert left - 0.06 <= float(x) <= left + width + 0.06
        assert top - 0.06 <= float(y) <= top + height + 0.06


def test_coordinates_have_a_decimal_at_most() -> None:
    assert [number(value) for value in (3.0, 3.14, -0.01, 172.25)] == ["3", "3.1", "0", "172.2"]
