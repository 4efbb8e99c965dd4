"""docs/assessment.md names a test for every step and every place; each is there."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
CANNOT = "cannot: the row does not say who closes; the record does"


def rows() -> list[list[str]]:
    page = (ROOT / "docs" / "assessment.md").read_text(encoding="utf-8")
    found = [line.strip("|").split("|") for line in page.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row] for row in found[2:]]


def test_every_test_that_the_page_names_is_there() -> None:
    defined = {
        name
        for path in (ROOT / "tests" / "site").rglob("test_*.py")
        for name in re.findall(r"^def (test_\w+)", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    named = {name for row in rows() for cell in row for name in re.findall(r"`(test_\w+)`", cell)}
    assert named - defined == set()
    assert len(named) > 40


def test_every_step_has_a_test_in_each_of_the_three_places() -> None:
    open_cells = [
        (step, cell)
        for step, *cells in rows()
        for cell in cells
        if not re.search(r"`test_\w+`", cell) and cell != "the same"
    ]
    assert open_cells == [("closing a batch", CANNOT)]
