"""Which module opens which, laid out from left to right. Plain values, no Django.

Modules stand in columns: a module is one column to the right of the last module it needs. A need
that follows from another need is not drawn. A line that passes a column gets a lane of its own in
it, so that no line runs through a box. The same modules always give the same drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

BOX_WIDTH = 140
BOX_HEIGHT = 56
COLUMN_GAP = 42
ROW_GAP = 14
LANE_HEIGHT = 16
LETTERS_PER_LINE = 18
MOST_LINES = 3
LINE_HEIGHT = 15
SWEEPS = 8


@dataclass(frozen=True)
class Node:
    """A module to place: its key, its title, and the keys it needs."""

    key: str
    title: str
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Line:
    """One line of a box's words with the place of its base line."""

    text: str
    y: float


@dataclass(frozen=True)
class Box:
    """A placed module, its corner at the top left."""

    key: str
    title: str
    x: float
    y: float
    lines: tuple[Line, ...]
    width: int = BOX_WIDTH
    height: int = BOX_HEIGHT

    @property
    def middle(self) -> float:
        """The x of its words."""
        return self.x + self.width / 2


@dataclass(frozen=True)
class Edge:
    """A need, as a line of straight pieces from the module needed to the one that needs it."""

    source: str
    target: str
    points: tuple[tuple[float, float], ...]

    @property
    def path(self) -> str:
        """The points for an SVG polyline."""
        return " ".join(f"{x:g},{y:g}" for x, y in self.points)


@dataclass(frozen=True)
class Graph:
    """The whole drawing in its own units."""

    boxes: tuple[Box, ...]
    edges: tuple[Edge, ...]
    width: float
    height: float


@dataclass(frozen=True)
class _Slot:
    """A place in a column: a box, or the lane of a line that passes."""

    key: str
    column: int
    target: str = ""

    @cached_property
    def height(self) -> int:
        return LANE_HEIGHT if self.target else BOX_HEIGHT


def lay_out(nodes: Sequence[Node]) -> Graph:
    """Place modules and lines; needs outside `nodes` are left out, a circle is a ValueError."""
    known = {node.key: node for node in nodes}
    needs = reduced({key: [n for n in node.needs if n in known] for key, node in known.items()})
    columns = _columns(needs)
    slots, chains = _slots(needs, columns)
    ordered = _ordered(slots, chains)
    middles, height = _rows(ordered)
    boxes = tuple(
        _box(known[slot.key], slot.column, middles[slot])
        for column in ordered
        for slot in column
        if not slot.target
    )
    edges = tuple(_edge(chain, middles) for chain in chains)
    count = max(len(ordered), 1)
    return Graph(boxes, edges, count * (BOX_WIDTH + COLUMN_GAP) - COLUMN_GAP, height)


def reduced(needs: Mapping[str, Iterable[str]]) -> dict[str, list[str]]:
    """The needs that do not follow from another need of the same module, in alphabetical order."""
    before = {key: _all_before(key, needs) for key in needs}
    return {
        key: sorted(
            need for need in own if not any(need in before[other] for other in own if other != need)
        )
        for key, own in ((key, list(own)) for key, own in needs.items())
    }


def _all_before(key: str, needs: Mapping[str, Iterable[str]]) -> set[str]:
    found: set[str] = set()
    open_keys = list(needs[key])
    while open_keys:
        need = open_keys.pop()
        if need == key:
            raise ValueError(f"The needs of {key} close a circle.")
        if need not in found:
            found.add(need)
            open_keys += needs[need]
    return found


def _columns(needs: Mapping[str, Sequence[str]]) -> dict[str, int]:
    columns: dict[str, int] = {}
    while len(columns) < len(needs):
        columns |= {
            key: 1 + max((columns[need] for need in own), default=-1)
            for key, own in needs.items()
            if key not in columns and all(need in columns for need in own)
        }
    return columns


def _slots(
    needs: Mapping[str, Sequence[str]], columns: Mapping[str, int]
) -> tuple[list[list[_Slot]], list[list[_Slot]]]:
    """The slots of each column, and for each line the slots it runs through, first to last."""
    boxes = {key: _Slot(key, column) for key, column in columns.items()}
    slots: list[list[_Slot]] = [[] for _ in range(max(columns.values(), default=-1) + 1)]
    for key in needs:
        slots[columns[key]].append(boxes[key])
    chains = []
    for key, own in needs.items():
        for need in own:
            passed = range(columns[need] + 1, columns[key])
            # Lines of one module share a lane: they mean the same and part later.
            lanes = [_Slot(need, column, "shared") for column in passed]
            for lane in lanes:
                if lane not in slots[lane.column]:
                    slots[lane.column].append(lane)
            chains.append([boxes[need], *lanes, boxes[key]])
    return slots, chains


def _ordered(slots: list[list[_Slot]], chains: list[list[_Slot]]) -> list[list[_Slot]]:
    """Columns ordered by the middle of their neighbours, forth and back; the best is kept."""
    links = [pair for chain in chains for pair in pairwise(chain)]
    before: dict[_Slot, list[_Slot]] = {}
    after: dict[_Slot, list[_Slot]] = {}
    for left, right in links:
        before.setdefault(right, []).append(left)
        after.setdefault(left, []).append(right)
    order = [list(column) for column in slots]
    best, fewest = order, _crossings(order, links)
    for sweep in range(SWEEPS):
        forth = sweep % 2 == 0
        columns = range(1, len(order)) if forth else range(len(order) - 2, -1, -1)
        for column in columns:
            place = _places(order)
            beside = before if forth else after
            order[column] = sorted(
                order[column],
                key=lambda slot: (_mean([place[s] for s in beside.get(slot, [slot])]), place[slot]),
            )
        crossings = _crossings(order, links)
        if crossings < fewest:
            best, fewest = [list(column) for column in order], crossings
    return best


def _places(order: list[list[_Slot]]) -> dict[_Slot, float]:
    """Where each slot stands in its column, from 0 at the top to 1 at the bottom."""
    return {slot: (n + 0.5) / len(column) for column in order for n, slot in enumerate(column)}


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _crossings(order: list[list[_Slot]], links: list[tuple[_Slot, _Slot]]) -> int:
    place = {slot: n for column in order for n, slot in enumerate(column)}
    found = sorted({(left.column, place[left], place[right]) for left, right in links})
    return sum(
        one[0] == other[0] and one[1] < other[1] and one[2] > other[2]
        for n, one in enumerate(found)
        for other in found[n + 1 :]
    )


def _rows(ordered: list[list[_Slot]]) -> tuple[dict[_Slot, float], float]:
    """The middle of every slot, columns centred on the tallest, and the height of the drawing."""
    heights = [
        sum(slot.height for slot in column) + ROW_GAP * (len(column) - 1) for column in ordered
    ]
    total = max(heights, default=0)
    middles: dict[_Slot, float] = {}
    for column, height in zip(ordered, heights, strict=True):
        y = (total - height) / 2
        for slot in column:
            middles[slot] = y + slot.height / 2
            y += slot.height + ROW_GAP
    return middles, float(total)


def _box(node: Node, column: int, middle: float) -> Box:
    words = wrapped(node.title)
    first = middle - LINE_HEIGHT * (len(words) - 1) / 2 + LINE_HEIGHT * 0.32
    lines = tuple(Line(text, round(first + n * LINE_HEIGHT, 1)) for n, text in enumerate(words))
    x = column * (BOX_WIDTH + COLUMN_GAP)
    return Box(node.key, node.title, x, round(middle - BOX_HEIGHT / 2, 1), lines)


def wrapped(title: str) -> list[str]:
    """A title in lines of at most 18 letters, the last one cut with three dots if it must be."""
    lines = [""]
    for word in title.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= LETTERS_PER_LINE or not lines[-1]:
            lines[-1] = joined
        else:
            lines.append(word)
    kept = lines[:MOST_LINES]
    if len(lines) > MOST_LINES:
        kept[-1] = f"{kept[-1]} …"
    return [_cut(line) for line in kept]


def _cut(line: str) -> str:
    return line if len(line) <= LETTERS_PER_LINE + 2 else f"{line[: LETTERS_PER_LINE - 1]}…"


def _edge(chain: list[_Slot], middles: Mapping[_Slot, float]) -> Edge:
    points = []
    for slot in chain:
        x, y = slot.column * (BOX_WIDTH + COLUMN_GAP), round(middles[slot], 1)
        points += [(float(x), y), (float(x + BOX_WIDTH), y)]
    return Edge(chain[0].key, chain[-1].key, tuple(points[1:-1]))
