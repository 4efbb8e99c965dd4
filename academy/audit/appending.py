"""Putting an entry at the end of a chain: by one statement on PostgreSQL, by two on SQLite.

The chain of an academy has one writer at a time, so what counts is how long each holds it. On
PostgreSQL a function of the database takes the lock, reads the head, hashes and writes; it goes
out in one message with the commit (`academy.web.postgresql`), which does not wait for the disk
while the lock is held, but before the service's answer is given. A power cut can only take the
newest entries together with what they tell, as the log is written in order, and nobody was told
of them. SQLite has one writer at a time anyway; `academy.web.sqlite` waits in the same way.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from django.db import connections, transaction

from academy.audit.envelope import COLUMNS
from academy.craft.proof.chain import entry_hash, genesis

if TYPE_CHECKING:
    from django.db.backends.base.base import BaseDatabaseWrapper

    from academy.audit.envelope import Envelope
    from academy.web.postgresql.base import DatabaseWrapper

_LOCK: Final = 0x626C6F63 << 32
_INTO: Final = f"{', '.join(COLUMNS)}, sequence, canonical, previous_hash, hash"
_HEAD: Final = (
    "SELECT sequence, hash FROM audit_entry WHERE academy_id = %s ORDER BY sequence DESC LIMIT 1"
)
_INSERT: Final = f"INSERT INTO audit_entry ({_INTO}) VALUES ({', '.join(['%s'] * 12)})"  # noqa: S608
_APPEND: Final = (
    b"SELECT audit_append(%s::bigint, %s::bytea, %s, %s::bigint, %s::bigint, %s::varchar, "
    b"%s::varchar, %s::varchar, %s::bigint, %s::bytea, %s::bytea)"
)
_FUNCTION: Final = f"""
CREATE OR REPLACE FUNCTION audit_append(
    academy bigint, first_previous bytea, moment timestamptz, actor bigint, about bigint,
    request varchar, action_name varchar, subject_kind varchar, subject bigint,
    before_number bytea, after_number bytea
) RETURNS void LANGUAGE plpgsql AS $append$
DECLARE
    number bigint;
    continued bytea;
    content bytea;
BEGIN
    PERFORM set_config('synchronous_commit', 'off', true);
    PERFORM pg_advisory_xact_lock({_LOCK} + academy);
    SELECT e.sequence + 1, e.hash INTO number, continued
        FROM audit_entry e WHERE e.academy_id = academy ORDER BY e.sequence DESC LIMIT 1;
    IF NOT FOUND THEN
        number := 1;
        continued := first_previous;
    END IF;
    content := before_number || convert_to(number::text, 'UTF8') || after_number;
    INSERT INTO audit_entry ({_INTO}) VALUES (
        academy, moment, actor, about, request, action_name, subject_kind, subject,
        number, content, continued, sha256(continued || content)
    );
END
$append$
"""  # noqa: S608


def after_migrate(*, using: str, **_: object) -> None:
    """Make the function on PostgreSQL, where the table is. Doing it again changes nothing."""
    connection = connections[using]
    if connection.vendor != "postgresql":
        return
    if "audit_entry" in connection.introspection.table_names():
        with connection.cursor() as cursor:
            cursor.execute(_FUNCTION)


def lock_chain(academy_id: int, using: str) -> None:
    """Let nobody else write to an academy's chain, or sign it, until the transaction ends."""
    connection = connections[using]
    # On SQLite a transaction that writes is alone anyway.
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK + academy_id])


def append(envelope: Envelope, details: dict[str, object], using: str) -> None:
    """Write the entry as the next one of its academy; no other is written until the commit.

    Raises `ProofError` for details that have no canonical form.
    """
    before, after = envelope.around_number(details)
    connection = transaction.get_connection(using)
    if connection.vendor == "postgresql":
        academy, *rest = envelope.columns
        values = [academy, genesis(academy), *rest, before, after]
        cast("DatabaseWrapper", connection).say_last(_APPEND, values)
    else:
        _on_sqlite(connection, envelope, before, after)


def _on_sqlite(
    connection: BaseDatabaseWrapper, envelope: Envelope, before: bytes, after: bytes
) -> None:
    # No lock: transactions are IMMEDIATE, so nobody else is between these two.
    academy, at, *rest = envelope.columns
    moment = connection.ops.adapt_datetimefield_value(at)
    with connection.cursor() as cursor:
        cursor.execute(_HEAD, [academy])
        last = cursor.fetchone()
        number, previous = (last[0] + 1, bytes(last[1])) if last else (1, genesis(academy))
        content = before + b"%d" % number + after
        digest = entry_hash(previous, content)
        cursor.execute(_INSERT, [academy, moment, *rest, number, content, previous, digest])
