"""Canonical JSON against the test files of RFC 8785 (`tests.published.standards`).

Of the four, two have only what our subset allows; what the subset refuses in the others must be
refused. The other implementation, which random values are compared with in
`tests/craft/proof/test_canonical.py`, gives the bytes of all four.
"""

from __future__ import annotations

import json
import struct
from typing import Any

import pytest
import rfc8785

from academy.craft.proof.canonical import MAX_INTEGER, canonical
from academy.craft.proof.errors import ProofError
from tests.published.standards import listed, names, read

VECTORS = ("arrays", "structures", "unicode", "values")
PARTS = ("in.json", "out.json", "outhex.txt")
NUMBERS = "es6_number_checksums.json"
# RFC 8785, appendix B: the bits of a number and how it is written; None for what has no spelling.
SPELLINGS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "7fffffffffffffff": None,
    "7ff0000000000000": None,
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


def vector(name: str) -> tuple[Any, bytes]:
    """The input of a test file and the bytes that it must give."""
    value = json.loads(read("jcs", f"{name}.in.json"))
    return value, bytes.fromhex(read("jcs", f"{name}.outhex.txt").decode("ascii"))


def test_every_file_of_the_standard_is_read_here() -> None:
    here = {f"{name}.{part}" for name in VECTORS for part in PARTS} | {NUMBERS}
    assert names("jcs") == listed("jcs") == here


@pytest.mark.parametrize("name", ["arrays", "unicode"])
def test_what_the_subset_allows_gives_the_published_bytes(name: str) -> None:
    value, expected = vector(name)
    assert canonical(value) == expected


@pytest.mark.parametrize("name", VECTORS)
def test_the_published_bytes_are_those_of_the_published_text(name: str) -> None:
    assert read("jcs", f"{name}.out.json") == vector(name)[1]


@pytest.mark.parametrize("name", VECTORS)
def test_the_other_implementation_gives_the_published_bytes(name: str) -> None:
    value, expected = vector(name)
    assert rfc8785.dumps(value) == expected


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


@pytest.mark.parametrize(("bits", "spelling"), SPELLINGS.items())
def test_a_number_of_appendix_b_is_spelled_by_the_other_and_refused_by_ours(
    bits: str, spelling: str | None
) -> None:
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    if spelling is None:
        with pytest.raises(rfc8785.FloatDomainError):
            rfc8785.dumps(number)
    else:
        assert rfc8785.dumps(number).decode() == spelling
    with pytest.raises(ProofError, match="is a float"):
        canonical(number)


@pytest.mark.parametrize("number", [0, 1, -1, 10**15, MAX_INTEGER, -MAX_INTEGER])
def test_a_whole_number_that_ours_writes_is_spelled_as_the_float_of_its_value(number: int) -> None:
    """The only numbers of the record: up to 2⁵³ - 1, where both spellings are plain digits."""
    assert canonical(number) == rfc8785.dumps(float(number))


def test_the_sums_of_many_numbers_are_known_but_not_how_the_numbers_are_drawn() -> None:
    """Read, so that it is seen when a generator comes with it; nothing of ours is judged by it."""
    known = json.loads(read("jcs", NUMBERS))
    assert known.pop("generator").startswith("sequence described in testdata/README.md")
    assert set(known) == {"1000", "10000"}
    pytest.skip(
        f"The two sums of {NUMBERS} are over a drawn sequence of numbers. What draws it is told in "
        "testdata/README.md of its source, which is not among the files, and RFC 8785 gives only "
        "the 26 numbers of appendix B, which are tested above. Nothing is lost for the record: it "
        "refuses every float, and these sums are over floats."
    )
