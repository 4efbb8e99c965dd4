from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from academy.craft.proof.errors import ProofError
from academy.craft.proof.signing import Signer, key_id, public_pem, signed
from tests.conftest import missing

SECRET = bytes(range(32))


def test_a_signature_holds_for_its_message_and_its_key() -> None:
    signer, other = Signer(SECRET), Signer(bytes(32))
    signature = signer.sign(b"the head")
    assert signed(b"the head", signature=signature, public=signer.public)
    assert not signed(b"the hand", signature=signature, public=signer.public)
    assert not signed(b"the head", signature=signature, public=other.public)


def test_a_key_comes_back_from_its_file() -> None:
    signer = Signer(SECRET)
    assert Signer.from_pem(signer.pem()).public == signer.public
    assert len(key_id(signer.public)) == 16


@pytest.mark.parametrize("words", [b"", b"no key at all"])
def test_a_file_that_holds_no_key_is_refused(words: bytes) -> None:
    with pytest.raises(ProofError, match="no private key"):
        Signer.from_pem(words)


def test_openssl_reads_the_key_and_accepts_the_signature(tmp_path: Path) -> None:
    signer = Signer(SECRET)
    (tmp_path / "key.pem").write_bytes(public_pem(signer.public))
    (tmp_path / "message").write_bytes(b"the head")
    (tmp_path / "signature").write_bytes(signer.sign(b"the head"))
    command = "openssl pkeyutl -verify -pubin -inkey key.pem -rawin -in message -sigfile signature"
    try:
        done = subprocess.run(command.split(), cwd=tmp_path, capture_output=True, check=False)
    except FileNotFoundError:
        missing("No openssl to try the signature with.")
        return
    assert done.returncode == 0, done.stderr
    assert b"Signature Verified Successfully" in done.stdout


def test_openssl_makes_a_key_that_is_read(tmp_path: Path) -> None:
    try:
        made = subprocess.run(
            ["openssl", "genpkey", "-algorithm", "ed25519"], capture_output=True, check=True
        )
        other = subprocess.run(
            ["openssl", "genpkey", "-algorithm", "x25519"], capture_output=True, check=True
        )
    except FileNotFoundError:
        missing("No openssl to make a key with.")
        return
    assert len(Signer.from_pem(made.stdout).public) == 32
    with pytest.raises(ProofError, match="Ed25519 is needed"):
        Signer.from_pem(other.stdout)
