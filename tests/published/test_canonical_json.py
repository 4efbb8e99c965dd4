"""Canonical JSON against the test files of RFC 8785, read where they lie.

They lie in `../shared/checks` beside the project, or where BLOCKWORK_CHECKS says. Of the four,
one has only what our subset allows; what the subset refuses in the others must be refused.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from academy.craft.proof.canonical import canonical
from academy.craft.proof.errors import ProofError
from tests.conftest import missing

BESIDE = Path(__file__).parents[2].parent / "shared" / "checks"
VECTORS = Path(os.environ.get("BLOCKWORK_CHECKS", BESIDE)) / "standards" / "jcs"


def vector(name: str) -> tuple[Any, bytes]:
    """The input of a test file and the bytes that it must give."""
    if not VECTORS.is_dir():
        missing(f"No RFC 8785 files at {VECTORS}. BLOCKWORK_CHECKS names the folder of checks.")
    value = json.loads((VECTORS / f"{name}.in.json").read_text(encoding="utf-8"))
    return value, bytes.fromhex((VECTORS / f"{name}.outhex.txt").read_text(encoding="ascii"))


@pytest.mark.parametrize("name", ["arrays", "unicode"])
def test_what_the_subset_allows_gives_the_published_bytes(name: str) -> None:
    value, expected = vector(name)
    assert canonical(value) == expected


@pytest.mark.parametrize("name", ["structures", "values"])
def test_what_the_subset_does_not_allow_is_refused(name: str) -> None:
    value, _ = vector(name)
    with pytest.raises(ProofError, match="is a float"):
        canonical(value)


def test_without_its_one_decimal_the_structures_give_the_published_bytes() -> None:
    value, expected = vector("structures")
    value["1"]["\n"] = 56
    assert canonical(value) == expected


def test_without_its_decimals_the_values_give_the_published_bytes() -> None:
    value, expected = vector("values")
    del value["numbers"]
    start, end = expected.index(b'"numbers"'), expected.index(b'"string"')
    assert canonical(value) == expected[:start] + expected[end:]
