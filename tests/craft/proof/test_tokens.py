from __future__ import annotations

import pytest

from academy.craft.proof.errors import ProofError
from academy.craft.proof.tokens import salted_hash

KEY = b"a key of sixteen bytes or more"


def test_one_text_gives_one_hash_of_64_digits() -> None:
    assert salted_hash("too dry", key=KEY) == salted_hash("too dry", key=KEY)
    assert len(salted_hash("too dry", key=KEY)) == 64


def test_key_salt_and_text_all_count() -> None:
    hashes = {
        salted_hash("too dry", key=KEY),
        salted_hash("too wet", key=KEY),
        salted_hash("too dry", key=KEY, salt="x"),
        salted_hash("too dry", key=KEY + b"!"),
    }
    assert len(hashes) == 4


def test_salt_and_text_do_not_run_into_each_other() -> None:
    assert salted_hash("bc", key=KEY, salt="a") != salted_hash("c", key=KEY, salt="ab")


def test_a_letter_typed_in_two_ways_is_one_letter() -> None:
    assert salted_hash("Zo\u00eb", key=KEY) == salted_hash("Zoe\u0308", key=KEY)


def test_a_short_key_is_refused() -> None:
    with pytest.raises(ProofError, match="at least 16 bytes"):
        salted_hash("too dry", key=b"short")
