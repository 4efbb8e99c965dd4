"""The key that signs checkpoints: its private half in a file, its public half in the database."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from academy.audit.errors import AuditError
from academy.audit.models import SigningKey
from academy.audit.statements import key_statement
from academy.craft.proof.errors import ProofError
from academy.craft.proof.signing import KEY_BYTES, Signer, key_id

if TYPE_CHECKING:
    from datetime import datetime

OWNER_ONLY = 0o600
_OTHERS = 0o077


def signer() -> Signer:
    """The private key of this machine; `AuditError` where there is none or others may read it."""
    path = _path()
    try:
        mode, pem = path.stat().st_mode, path.read_bytes()
    except FileNotFoundError as error:
        raise AuditError(
            f"There is no key to sign the record with at {path}. `manage.py prepare` makes one."
        ) from error
    if mode & _OTHERS:
        raise AuditError(f"Others may read the key at {path}. Say: chmod 600 {path}")
    try:
        return Signer.from_pem(pem)
    except ProofError as error:
        raise AuditError(f"{path}: {error}") from error


def make_key() -> SigningKey:
    """The key of this machine, made if there is none. Made by `manage.py prepare`."""
    path = _path()
    if not path.exists():
        _write(path, Signer(secrets.token_bytes(KEY_BYTES)))
    return known(signer())


def rotate_key() -> SigningKey:
    """Put a new key in the place of the old one, which signs it and is then forgotten.

    Checkpoints under the old key stay good: its public half is kept. The next checkpoint names
    the new one. Where others sign too, copy the file to them.
    """
    old, new = signer(), Signer(secrets.token_bytes(KEY_BYTES))
    before, now = known(old), timezone.now()
    statement = key_statement(public=new.public, made_at=now, follows=before.key)
    with transaction.atomic():
        row = _row(new, now, follows=before, endorsement=old.sign(statement))
        _write(_path(), new)
    return row


def known(key: Signer) -> SigningKey:
    """The row of a key's public half, written if it is new here."""
    found = SigningKey.objects.filter(key=key_id(key.public)).first()
    return found or _row(key, timezone.now())


def _row(
    key: Signer,
    made_at: datetime,
    *,
    follows: SigningKey | None = None,
    endorsement: bytes = b"",
) -> SigningKey:
    return SigningKey.objects.create(
        key=key_id(key.public),
        public=key.public,
        made_at=made_at,
        follows=follows,
        endorsement=endorsement,
    )


def _path() -> Path:
    return Path(settings.RECORD_KEY_FILE)


def _write(path: Path, key: Signer) -> None:
    """Written beside and moved into place, so that there is never half a key."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    file = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    with os.fdopen(file, "wb") as new:
        new.write(key.pem())
    beside.replace(path)
