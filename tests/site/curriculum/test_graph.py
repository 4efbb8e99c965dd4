"""The drawing of which module opens which: columns by need, no line through a box."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings, strategies as st

from academy.curriculum.graph import (
    BOX_HEIGHT,
    BOX_WIDTH,
    LETTERS_PER_LINE,
    MOST_LINES,
    Graph,
    Node,
    lay_out,
    reduced,
    wrapped,
)
from academy.curriculum.services.loading import read_modules


@st.composite
def nodes(draw: st.DrawFn) -> list[Node]:
    """Modules that need earlier ones only, so that no circle closes."""
    count = draw(st.integers(0, 14))
    found = []
    for n in range(count):
        earlier = st.sampled_from([f"m{k}" for k in range(n)]) if n else st.nothing()
        needs = draw(st.lists(earlier, max_size=4, unique=True)) if n else []
        found.append(Node(f"m{n}", draw(st.text(max_size=60)), tuple(needs)))
    return found


def shipped() -> Graph:
    return lay_out([Node(c.key, c.title, c.needs) for c in read_modules()])


@given(nodes())
@settings(max_examples=60, deadline=None)
def test_a_module_stands_right_of_all_it_needs_and_boxes_never_touch(modules: list[Node]) -> None:
    graph = lay_out(modules)
    x = {box.key: box.x for box in graph.boxes}
    assert all(x[need] + BOX_WIDTH < x[node.key] for node in modules for need in node.needs)
    for one, other in combinations(graph.boxes, 2):
        assert one.x != other.x or abs(one.y - other.y) >= BOX_HEIGHT


@given(nodes())
@settings(max_examples=60, deadline=None)
def test_no_line_runs_through_a_box(modules: list[Node]) -> None:
    graph = lay_out(modules)
    for edge in graph.edges:
        for (x1, y1), (x2, y2) in pairwise(edge.points):
            for box in graph.boxes:
                inside = box.x < (x1 + x2) / 2 < box.x + BOX_WIDTH
                assert not (inside and box.y < (y1 + y2) / 2 < box.y + BOX_HEIGHT)


@given(nodes())
@settings(max_examples=60, deadline=None)
def test_what_is_not_drawn_follows_from_what_is(modules: list[Node]) -> None:
    needs = {node.key: node.needs for node in modules}
    drawn = reduced(needs)

    def before(key: str) -> set[str]:
        return set(drawn[key]).union(*(before(need) for need in drawn[key]))

    for key, own in needs.items():
        assert set(drawn[key]) <= set(own)
        assert set(own) <= before(key)


def test_the_same_modules_give_the_same_drawing() -> None:
    assert shipped() == shipped()


def test_the_shipped_modules_fit_a_desktop_page_and_cross_little() -> None:
    graph = shipped()
    assert len(graph.boxes) == 17
    assert graph.width <= 1232
    assert graph.height <= 480


def test_everything_drawn_lies_in_the_picture() -> None:
    graph = shipped()
    for edge in graph.edges:
        assert all(0 <= x <= graph.width and 0 <= y <= graph.height for x, y in edge.points)
    assert all(box.y >= 0 and box.y + BOX_HEIGHT <= graph.height for box in graph.boxes)


def test_a_need_that_follows_from_another_is_not_drawn() -> None:
    needs = {"a": [], "b": ["a"], "c": ["a", "b"]}
    assert reduced(needs) == {"a": [], "b": ["a"], "c": ["b"]}


def test_a_circle_is_refused() -> None:
    with pytest.raises(ValueError, match="close a circle"):
        lay_out([Node("a", "A", ("b",)), Node("b", "B", ("a",))])


def test_needs_of_modules_that_are_not_there_are_left_out() -> None:
    assert lay_out([Node("a", "A", ("gone",))]).edges == ()


@given(st.text(max_size=120))
def test_a_title_keeps_to_its_box(title: str) -> None:
    lines = wrapped(title)
    assert 1 <= len(lines) <= MOST_LINES
    assert all(len(line) <= LETTERS_PER_LINE + 2 for line in lines)


def test_a_title_breaks_between_words() -> None:
    assert wrapped("Fine, medium and chunky weaves") == ["Fine, medium and", "chunky weaves"]
