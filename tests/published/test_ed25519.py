"""Ed25519 against published keys, messages and signatures, read where they lie.

Source: PyPI cryptography_vectors 50.0.2, `asymmetric/Ed25519/sign.input`, lines 1 to 683; lines
1 to 3 are TEST 1 to 3 of RFC 8032, section 7.1. A line is sk‖pk : pk : message : signature‖message.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from academy.craft.proof.errors import ProofError
from academy.craft.proof.signing import Signer, signed
from tests.published.standards import listed, names, read

FILE = "sign_lines_1_683.txt"


def lines() -> Iterator[tuple[bytes, bytes, bytes, bytes]]:
    """Secret key, public key, message, signature."""
    for line in read("ed25519", FILE).decode("ascii").splitlines():
        both, public, message, signature = (bytes.fromhex(part) for part in line.split(":")[:4])
        yield both[:32], public, message, signature[:64]


def test_every_published_file_is_read_here() -> None:
    assert names("ed25519") == listed("ed25519") == {FILE}


def test_every_published_signature_is_made_and_accepted() -> None:
    count = 0
    for secret, public, message, signature in lines():
        signer = Signer(secret)
        assert signer.public == public
        assert signer.sign(message) == signature
        assert signed(message, signature=signature, public=public)
        count += 1
    assert count == 683


def test_a_published_signature_with_one_bit_changed_is_refused() -> None:
    for number, (_, public, message, signature) in zip(range(64), lines(), strict=False):
        bad = bytearray(signature)
        bad[number] ^= 1 << number % 8
        assert not signed(message, signature=bytes(bad), public=public)
        assert not signed(message + b"\x00", signature=signature, public=public)


def test_a_key_or_a_signature_of_another_length_is_refused() -> None:
    _, public, message, signature = next(lines())
    assert not signed(message, signature=signature[:-1], public=public)
    assert not signed(message, signature=signature, public=public[:-1])
    with pytest.raises(ProofError, match="has 32 bytes; this one has 31"):
        Signer(b"\x01" * 31)
