"""Ed25519 (RFC 8032) by the library `cryptography`: one kind of key, one kind of signature."""

from __future__ import annotations

from hashlib import sha256
from typing import Final

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)

from academy.craft.proof.errors import ProofError

KEY_BYTES: Final = 32
SIGNATURE_BYTES: Final = 64
KEY_ID_DIGITS: Final = 16


class Signer:
    """A private key. It is made from its 32 secret bytes, or from a PEM file's text."""

    def __init__(self, secret: bytes) -> None:
        if len(secret) != KEY_BYTES:
            raise ProofError(f"A private key has {KEY_BYTES} bytes; this one has {len(secret)}.")
        self._key = Ed25519PrivateKey.from_private_bytes(secret)

    @classmethod
    def from_pem(cls, pem: bytes) -> Signer:
        """Read an unencrypted PKCS #8 file, as `openssl genpkey -algorithm ed25519` writes it."""
        try:
            key = load_pem_private_key(pem, password=None)
        except (ValueError, TypeError) as error:
            raise ProofError("This file holds no private key that can be read.") from error
        if not isinstance(key, Ed25519PrivateKey):
            raise ProofError("This private key is of another kind. Ed25519 is needed.")
        return cls(key.private_bytes_raw())

    def pem(self) -> bytes:
        """The private key as an unencrypted PKCS #8 file."""
        return self._key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())

    @property
    def public(self) -> bytes:
        """The public key, 32 bytes."""
        return self._key.public_key().public_bytes_raw()

    def sign(self, message: bytes) -> bytes:
        """The signature of a message, 64 bytes; the same message gives the same signature."""
        return self._key.sign(message)


def signed(message: bytes, *, signature: bytes, public: bytes) -> bool:
    """Whether this is the signature of the message under this public key of 32 bytes."""
    if len(public) != KEY_BYTES or len(signature) != SIGNATURE_BYTES:
        return False
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(signature, message)
    except (InvalidSignature, ValueError):
        return False
    return True


def public_pem(public: bytes) -> bytes:
    """A public key of 32 bytes as the PEM file that OpenSSL reads."""
    key = Ed25519PublicKey.from_public_bytes(public)
    return key.public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)


def key_id(public: bytes) -> str:
    """A short name for a public key: the first 16 hexadecimal digits of its SHA-256."""
    return sha256(public).hexdigest()[:KEY_ID_DIGITS]
