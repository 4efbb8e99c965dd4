"""Database triggers that hold what stands: the last line behind model, QuerySet and service.

An app says at start-up which of its tables are protected. The triggers are made again after
every migrate, because SQLite loses them when Django rebuilds a table.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from django.db import connections, transaction

if TYPE_CHECKING:
    from django.db.backends.base.base import BaseDatabaseWrapper

ALWAYS: Final = "TRUE"
NEVER: Final = "FALSE"
_PREFIX: Final = "audit_guard_"


@dataclass(frozen=True, slots=True)
class Guard:
    """What is refused on one table; the conditions are SQL that both databases read."""

    table: str
    label: str
    update_when: str
    delete_when: str
    insert_when: str

    def events(self, vendor: str) -> dict[str, str]:
        """Each event that has a trigger, with its condition."""
        conditions = {
            "update": self.update_when,
            "delete": self.delete_when,
            "insert": self.insert_when,
        }
        if vendor == "postgresql":
            conditions["truncate"] = ALWAYS
        return {event: when for event, when in conditions.items() if when != NEVER}


_guards: dict[str, Guard] = {}


def protect(
    table: str,
    *,
    label: str,
    when: str = ALWAYS,
    update_when: str | None = None,
    insert_when: str = NEVER,
) -> None:
    """Refuse to change or delete rows of a table, always or under a condition.

    `when` is an SQL condition on the stored row, `OLD.state = 'submitted'`; it may hold a
    subquery, `EXISTS (SELECT 1 FROM … WHERE id = OLD.assessment_id AND …)`. `update_when` takes
    its place for updates and may compare OLD with NEW, for rows of which something may still
    change. `insert_when`, on NEW, refuses new rows, for example below a parent that is frozen,
    and rows that an update would move there.
    `label` is what the message calls the row: "a submitted mark".
    """
    if update_when is None:
        update_when = when if insert_when == NEVER else f"({when}) OR ({insert_when})"
    _guards[table] = Guard(
        table=table,
        label=label,
        update_when=update_when,
        delete_when=when,
        insert_when=insert_when,
    )


def before_migrate(*, using: str, plan: list[Any], **_: object) -> None:
    """Take the triggers off an SQLite database before its tables are rebuilt.

    SQLite checks every trigger when a table is renamed, and a rebuild renames: a trigger whose
    subquery reads the table would stop the migration.
    """
    if plan and connections[using].vendor == "sqlite":
        remove(using)


def after_migrate(*, using: str, **_: object) -> None:
    """Make every trigger, whether it is there or not."""
    install(using)


def install(using: str = "default") -> None:
    """Make the triggers of every protected table that exists. Doing it again changes nothing."""
    connection = connections[using]
    tables = set(connection.introspection.table_names())
    with transaction.atomic(using), connection.cursor() as cursor:
        for guard in _guards.values():
            if guard.table in tables:
                for sql in _statements(guard, connection.vendor):
                    cursor.execute(sql)


def remove(using: str = "default") -> None:
    """Take all of them off; `install` puts them back."""
    connection = connections[using]
    with transaction.atomic(using), connection.cursor() as cursor:
        for name, table in _present(connection):
            on_table = f" ON {_quoted(table)}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {_quoted(name)}{on_table}")


def missing(using: str = "default") -> list[str]:
    """The names of triggers that should be there and are not."""
    connection = connections[using]
    present = {name for name, _ in _present(connection)}
    wanted = {
        _name(guard.table, event)
        for guard in _guards.values()
        for event in guard.events(connection.vendor)
    }
    return sorted(wanted - present)


def _present(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    """The (name, table) of our triggers that exist and are switched on."""
    query = (
        "SELECT name, tbl_name FROM sqlite_master "
        "WHERE type = 'trigger' AND substr(name, 1, %s) = %s"
        if connection.vendor == "sqlite"
        else "SELECT t.tgname, c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
        "WHERE t.tgenabled <> 'D' AND left(t.tgname, %s) = %s"
    )
    with connection.cursor() as cursor:
        cursor.execute(query, [len(_PREFIX), _PREFIX])
        return [(str(name), str(table)) for name, table in cursor.fetchall()]


def _statements(guard: Guard, vendor: str) -> list[str]:
    make = _on_sqlite if vendor == "sqlite" else _on_postgresql
    return [
        sql
        for event, condition in guard.events(vendor).items()
        for sql in make(guard, event, condition)
    ]


def _on_sqlite(guard: Guard, event: str, condition: str) -> list[str]:
    name = _quoted(_name(guard.table, event))
    return [
        f"DROP TRIGGER IF EXISTS {name}",
        (
            f"CREATE TRIGGER {name} BEFORE {event.upper()} ON {_quoted(guard.table)} "
            f"FOR EACH ROW WHEN ({condition}) "
            f"BEGIN SELECT RAISE(ABORT, {_literal(_message(guard, event))}); END"
        ),
    ]


def _on_postgresql(guard: Guard, event: str, condition: str) -> list[str]:
    name, table = _quoted(_name(guard.table, event)), _quoted(guard.table)
    each = "STATEMENT" if event == "truncate" else "ROW"
    result = "OLD" if event == "delete" else "NEW"
    # A WHEN clause may hold no subquery here, so the condition stands inside the function.
    body = (
        f"BEGIN IF ({condition}) THEN RAISE EXCEPTION USING "
        f"ERRCODE = 'integrity_constraint_violation', "
        f"MESSAGE = {_literal(_message(guard, event))}; "
        f"END IF; RETURN {result}; END"
    )
    return [
        (
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger "
            f"LANGUAGE plpgsql AS $guard${body}$guard$"
        ),
        (
            f"CREATE OR REPLACE TRIGGER {name} BEFORE {event.upper()} ON {table} "
            f"FOR EACH {each} EXECUTE FUNCTION {name}()"
        ),
    ]


def _message(guard: Guard, event: str) -> str:
    if event == "insert":
        return f"{guard.label} stands: nothing can be added beside it"
    done = {"update": "changed", "delete": "deleted", "truncate": "deleted"}[event]
    return f"{guard.label} stands: it cannot be {done}"


def _name(table: str, event: str) -> str:
    return f"{_PREFIX}{table}_{event}"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
