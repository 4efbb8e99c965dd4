"""The graph of which module needs which."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.curriculum.content.shape import Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


def check_needs(graph: Mapping[str, Iterable[str]]) -> list[Problem]:
    """Check the needs of all modules together: every need is a module, and no circle closes.

    `graph` maps the key of a module to the keys it needs. A problem's path is the module's key; a
    circle is named once, from its first module in alphabetical order.
    """
    problems = [
        Problem(key, f"“{key}” needs “{need}”, and there is no such module.")
        for key in sorted(graph)
        for need in sorted(set(graph[key]) - set(graph))
    ]
    open_needs = {key: set(graph[key]) & set(graph) for key in graph}
    while ready := {key for key, needs in open_needs.items() if not needs}:
        open_needs = {key: needs - ready for key, needs in open_needs.items() if key not in ready}
    while open_needs:
        circle = _circle(open_needs)
        road = " → ".join([*circle, circle[0]])
        sentence = f"The needs close a circle: {road}. Take one of them out."
        problems.append(Problem(circle[0], sentence))
        open_needs = {
            key: needs - set(circle) for key, needs in open_needs.items() if key not in circle
        }
        open_needs = {key: needs for key, needs in open_needs.items() if needs}
    return problems


def _circle(open_needs: Mapping[str, set[str]]) -> list[str]:
    """Walk along open needs until a module comes back; each module here has one at least."""
    walked: list[str] = []
    key = min(open_needs)
    while key not in walked:
        walked.append(key)
        key = min(open_needs[key])
    circle = walked[walked.index(key) :]
    first = circle.index(min(circle))
    return circle[first:] + circle[:first]
