"""Figures of judging against published and independently computed ones."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.judging.readiness import wilson_interval
from academy.craft.judging.sampling import sample_size

FILES = Path(__file__).parents[2] / "shared" / "checks" / "measurement"


def rows(name: str) -> list[dict[str, str]]:
    lines = (FILES / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("wilson.csv"), ids=lambda row: str(row["id"]))
def test_the_interval_is_the_published_one(row: dict[str, str]) -> None:
    found = wilson_interval(int(row["successes"]), int(row["n"]))
    assert found.low == pytest.approx(float(row["low"]), abs=float(row["tolerance"]))
    assert found.high == pytest.approx(float(row["high"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", rows("discovery.csv"), ids=lambda row: f"{row['N']}-{row['share']}")
def test_the_sample_is_the_one_of_the_discovery_table(row: dict[str, str]) -> None:
    population, rate = int(row["N"]), Decimal(row["share"])
    assert sample_size(population, rate, Decimal("0.95")) == int(row["n95"])
    assert sample_size(population, rate, Decimal("0.90")) == int(row["n90"])


def test_all_the_rows_of_the_tables_are_there() -> None:
    assert (len(rows("wilson.csv")), len(rows("discovery.csv"))) == (3, 15)
