from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
import rfc8785
from hypothesis import given, strategies as st

from academy.craft.proof.canonical import MAX_DEPTH, MAX_INTEGER, canonical, parse
from academy.craft.proof.errors import ProofError

TEXT = st.text(st.characters(exclude_categories=["Cs"]))
KEYS = st.text(st.characters(exclude_categories=["Cs"], max_codepoint=0xFFFF))
PLAIN = st.none() | st.booleans() | st.integers(-MAX_INTEGER, MAX_INTEGER) | TEXT
VALUES = st.recursive(
    PLAIN, lambda inner: st.lists(inner) | st.dictionaries(KEYS, inner), max_leaves=25
)


@given(VALUES)
def test_the_bytes_are_those_of_another_implementation_of_rfc_8785(value: Any) -> None:
    assert canonical(value) == rfc8785.dumps(value)


@given(VALUES)
def test_what_was_written_is_read_back(value: Any) -> None:
    assert parse(canonical(value)) == value


@given(st.dictionaries(KEYS, PLAIN, min_size=2))
def test_the_order_of_the_keys_makes_no_difference(value: dict[str, Any]) -> None:
    assert canonical(dict(reversed(value.items()))) == canonical(value)


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (1.5, "is a float"),
        (float("nan"), "is a float"),
        (Decimal("1.5"), "is a Decimal"),
        (b"bytes", "is a bytes"),
        ((1, 2), "is a tuple"),
        ({1, 2}, "is a set"),
        (2**53, "beyond 2"),
        (-(2**53), "beyond 2"),
        ({1: "one"}, "Keys must be strings"),
        ({"\U00010000": 1}, "a character beyond U"),
        ("\ud800", "half a character"),
        ({"\udc00": 1}, "half a character"),
        ({"marks": [{"level": 2.5}]}, r"value.marks\[0\].level is a float"),
    ],
)
def test_what_has_more_than_one_spelling_is_refused_with_its_place(
    value: Any, sentence: str
) -> None:
    with pytest.raises(ProofError, match=sentence):
        canonical(value)


def test_what_is_nested_too_deep_or_in_itself_is_refused() -> None:
    circle: list[Any] = []
    circle.append(circle)
    with pytest.raises(ProofError, match=f"more than {MAX_DEPTH} deep"):
        canonical(circle)


@pytest.mark.parametrize(
    "data",
    [
        b'{"b":1,"a":2}',
        b'{"a": 1}',
        b'{"a":1,"a":1}',
        b'"\\u0041"',
        b"1.0",
        b"1e3",
        b"NaN",
        b"{",
        b"\xff",
        b"",
        b"[" * 100_000,
    ],
)
def test_bytes_in_another_spelling_are_not_read(data: bytes) -> None:
    with pytest.raises(ProofError):
        parse(data)
