"""Reads the rows of shared/head for the tests; each file names its source in its first lines."""

from __future__ import annotations

import csv
from pathlib import Path

from academy.craft.head.shape import Head

FOLDER = Path(__file__).resolve().parents[2] / "shared" / "head"


def rows(name: str) -> list[dict[str, str]]:
    lines = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# source: ")
    found = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert found
    return found


def head_of(row: dict[str, str]) -> Head:
    return Head(*(float(row[key]) for key in ("length_mm", "breadth_mm", "tragion_top_mm")))
