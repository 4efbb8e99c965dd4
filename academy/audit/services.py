"""Writing the record: one entry, last in the transaction of what it tells."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, TypeAlias

from django.conf import settings
from django.db import models, router, transaction
from django.utils import timezone
from django.utils.encoding import force_bytes

from academy.audit import sentences
from academy.audit.appending import append
from academy.audit.envelope import Envelope
from academy.audit.errors import RecordError
from academy.audit.models import Entry
from academy.craft.proof.errors import ProofError
from academy.craft.proof.tokens import salted_hash
from academy.web.request_id import current_request_id

Subject: TypeAlias = models.Model | tuple[str, int]

LONGEST_VALUE: Final = 200
_KEY = re.compile(r"[a-z][a-z0-9_]*")
# Printable ASCII without spaces: ids, codes, decimals, dates and hashes, but no free text.
_CODE = re.compile(r"[\x21-\x3f\x41-\x7e]*")
_PERSONAL = frozenset(
    {"name", "first_name", "last_name", "email", "phone", "address", "note", "text"}
)
_HASH = re.compile(r"[0-9a-f]{64}")
_ABOUT = ("apprentice", "person")


def record(
    *,
    academy_id: int,
    actor_id: int | None,
    action: str,
    subject: Subject,
    details: Mapping[str, object] | None = None,
) -> None:
    """Add one entry to the academy's chain.

    Call it last inside the service's `transaction.atomic()`: from here to the end of the
    transaction no other entry of this academy can be written. `subject` is the row that was
    changed, or its type and id, `("assessment.signoff", 7)`. `details` hold ids, codes, whole
    numbers, decimals as strings and `salted(…)` hashes; no names, addresses or free text.
    The person concerned is found in `details["apprentice"]` or `details["person"]`.

    Raises `RecordError` outside a transaction, for an unknown action and for other details.
    """
    using = router.db_for_write(Entry)
    if not transaction.get_connection(using).in_atomic_block:
        raise RecordError(
            "An entry is written in the transaction of what it tells. Open one first."
        )
    content = _checked(action, details or {})
    subject_type, subject_id = _subject(subject)
    envelope = Envelope(
        academy_id=academy_id,
        at=timezone.now(),
        actor_id=actor_id,
        about_id=_about(subject_type, subject_id, content),
        request_id=current_request_id(),
        action=action,
        subject_type=subject_type,
        subject_id=subject_id,
    )
    try:
        append(envelope, content, using)
    except ProofError as error:
        raise RecordError(f"The details of {action} cannot be recorded: {error}") from error


def salted(text: str, salt: str = "") -> str:
    """A keyed hash that stands for personal words in an entry (64 hexadecimal digits).

    The key comes from the site's secret key. Give as salt something that is kept only beside
    the words, such as their row's token: once both are erased the hash says nothing to anybody.
    """
    return salted_hash(text, key=b"academy.audit:" + force_bytes(settings.SECRET_KEY), salt=salt)


def _subject(subject: Subject) -> tuple[str, int]:
    if isinstance(subject, models.Model):
        if subject.pk is None:
            raise RecordError("The subject of an entry must be saved before the entry is written.")
        return subject._meta.label_lower, int(subject.pk)
    return subject


def _about(subject_type: str, subject_id: int, details: Mapping[str, object]) -> int | None:
    for key in _ABOUT:
        value = details.get(key)
        if isinstance(value, int):
            return value
    return subject_id if subject_type == sentences.PERSON else None


def _checked(action: str, details: Mapping[str, object]) -> dict[str, object]:
    if not sentences.known(action):
        raise RecordError(f"The record does not know the action {action}. Register its sentence.")
    absent = sentences.needed(action) - set(details)
    if absent:
        raise RecordError(f"The sentence of {action} speaks of {', '.join(sorted(absent))}.")
    for key, value in details.items():
        _check(action, key, value)
    return dict(details)


def _check(action: str, key: object, value: object) -> None:
    if not isinstance(key, str) or not _KEY.fullmatch(key):
        raise RecordError(f"{action}: {key!r} is no key. Use small letters, digits and _.")
    if key in _PERSONAL and not _is_hash(value):
        raise RecordError(f"{action}: {key} would be personal. Record an id or salted(…) instead.")
    if isinstance(value, Mapping):
        for inner, part in value.items():
            _check(action, inner, part)
    elif isinstance(value, list):
        for part in value:
            _check(action, key, part)
    elif isinstance(value, str) and not (len(value) <= LONGEST_VALUE and _CODE.fullmatch(value)):
        raise RecordError(
            f"{action}: {key} holds words or is longer than {LONGEST_VALUE} characters. Record "
            "an id, a code or salted(…); words belong in the row that the entry speaks of."
        )


def _is_hash(value: object) -> bool:
    return isinstance(value, str) and bool(_HASH.fullmatch(value))
