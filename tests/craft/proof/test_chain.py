from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

import pytest
from hypothesis import given, settings, strategies as st

from academy.craft.proof.chain import Fault, Link, Verified, entry_hash, genesis, verify
from academy.craft.proof.errors import ProofError

START = genesis(1)


def chain(*contents: bytes, start: bytes = START) -> list[Link]:
    links: list[Link] = []
    for number, content in enumerate(contents, 1):
        previous = links[-1].hash if links else start
        links.append(Link(number, content, previous, entry_hash(previous, content)))
    return links


THREE = chain(b"one", b"two", b"three")


def fault(links: list[Link]) -> tuple[int, Fault]:
    broken = verify(links, previous=START).broken
    assert broken is not None
    return broken.sequence, broken.fault


def test_a_hash_covers_the_hash_before_it_and_the_content() -> None:
    assert entry_hash(START, b"one") == sha256(START + b"one").digest()


def test_every_academy_has_its_own_beginning() -> None:
    assert genesis(1) != genesis(2)
    assert len(genesis(1)) == 32


def test_a_hash_of_another_length_is_refused() -> None:
    with pytest.raises(ProofError, match="has 32 bytes; this one has 5"):
        entry_hash(b"short", b"one")


def test_a_whole_chain_verifies_to_its_last_hash() -> None:
    assert verify(THREE, previous=START) == Verified(3, THREE[2].hash, None)
    assert verify([], previous=START) == Verified(0, START, None)


def test_a_tail_verifies_from_the_hash_before_it() -> None:
    assert verify(THREE[1:], previous=THREE[0].hash, first=2).broken is None


def test_changed_content_is_found() -> None:
    assert fault([THREE[0], replace(THREE[1], canonical=b"TWO"), THREE[2]]) == (2, Fault.ALTERED)


def test_content_rehashed_is_found_at_the_next_entry() -> None:
    forged = replace(THREE[1], canonical=b"TWO", hash=entry_hash(THREE[0].hash, b"TWO"))
    assert fault([THREE[0], forged, THREE[2]]) == (3, Fault.CUT_FROM_PREVIOUS)


def test_a_missing_entry_is_named() -> None:
    assert fault([THREE[0], THREE[2]]) == (2, Fault.MISSING)


def test_an_entry_twice_or_out_of_order_is_found() -> None:
    assert fault([THREE[0], THREE[0]]) == (1, Fault.REPEATED)


def test_swapped_entries_are_found() -> None:
    one = replace(THREE[2], sequence=2)
    other = replace(THREE[1], sequence=3)
    assert fault([THREE[0], one, other]) == (2, Fault.CUT_FROM_PREVIOUS)


def test_a_chain_of_another_academy_does_not_verify_here() -> None:
    assert fault(chain(b"one", start=genesis(2))) == (1, Fault.CUT_FROM_PREVIOUS)


def test_what_is_displayed_must_agree_with_the_content() -> None:
    agreeing = [replace(link, around=(link.canonical[:1], link.canonical[-1:])) for link in THREE]
    assert verify(agreeing, previous=START).broken is None
    agreeing[1] = replace(agreeing[1], around=(b"x", b""))
    assert fault(agreeing) == (2, Fault.COLUMN)


def test_the_entries_before_a_break_are_counted_as_right() -> None:
    result = verify([THREE[0], THREE[2]], previous=START)
    assert (result.checked, result.head) == (1, THREE[0].hash)


def flipped(old: bytes) -> st.SearchStrategy[bytes]:
    """The bytes with one bit turned."""
    number = int.from_bytes(old, "big")
    return st.integers(0, 8 * len(old) - 1).map(
        lambda bit: (number ^ 1 << bit).to_bytes(len(old), "big")
    )


@settings(max_examples=300)
@given(
    st.lists(st.binary(min_size=1, max_size=40), min_size=1, max_size=8, unique=True),
    st.data(),
)
def test_any_flipped_bit_is_found_at_or_right_after_its_entry(
    contents: list[bytes], data: st.DataObject
) -> None:
    links = chain(*contents)
    at = data.draw(st.integers(0, len(links) - 1))
    link = links[at]
    links[at] = data.draw(
        st.one_of(
            flipped(link.canonical).map(lambda new: replace(link, canonical=new)),
            flipped(link.previous_hash).map(lambda new: replace(link, previous_hash=new)),
            flipped(link.hash).map(lambda new: replace(link, hash=new)),
        )
    )
    broken = verify(links, previous=START).broken
    assert broken is not None
    assert broken.sequence == at + 1


@given(st.lists(st.binary(max_size=20), min_size=2, max_size=8, unique=True), st.data())
def test_any_entry_taken_out_before_the_end_is_found(
    contents: list[bytes], data: st.DataObject
) -> None:
    links = chain(*contents)
    at = data.draw(st.integers(0, len(links) - 2))
    assert fault(links[:at] + links[at + 1 :]) == (at + 1, Fault.MISSING)
