"""Rows that may be worked on until they freeze, in the model, the QuerySet and the database."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, connections, models, transaction
from django.test.utils import isolate_apps

from academy.audit import triggers
from academy.audit.appendonly import FrozenModel, FrozenQuerySet
from academy.audit.errors import AuditError


class Tables:
    """A sheet that freezes when it is handed in, and its lines, which freeze with it."""

    def __init__(self) -> None:
        with isolate_apps("academy.audit"):

            class Sheet(FrozenModel):
                frozen_when = models.Q(state="in")
                frozen_except = ("note",)
                state = models.CharField(max_length=5, default="open")
                note = models.CharField(max_length=20, default="")
                objects = FrozenQuerySet.as_manager()

                class Meta:
                    app_label = "audit"

            class Line(FrozenModel):
                frozen_when = models.Q(sheet__state="in")
                sheet = models.ForeignKey(Sheet, models.CASCADE)
                level = models.IntegerField(default=0)
                objects = FrozenQuerySet.as_manager()

                class Meta:
                    app_label = "audit"

        self.sheet: Any = Sheet
        self.line: Any = Line


@pytest.fixture
def tables(database: str, monkeypatch: pytest.MonkeyPatch) -> Iterator[Tables]:
    made = Tables()
    with connections[database].schema_editor() as editor:
        editor.create_model(made.sheet)
        editor.create_model(made.line)
    monkeypatch.setattr(triggers, "_guards", {})
    handed_in = (
        "EXISTS (SELECT 1 FROM audit_sheet s WHERE s.id = {row}.sheet_id AND s.state = 'in')"
    )
    triggers.protect(
        "audit_sheet",
        label="a handed-in sheet",
        when="OLD.state = 'in'",
        update_when="OLD.state = 'in' AND NEW.state <> 'in'",
    )
    triggers.protect(
        "audit_line",
        label="a line of a handed-in sheet",
        when=handed_in.format(row="OLD"),
        insert_when=handed_in.format(row="NEW"),
    )
    triggers.install(database)
    yield made
    triggers.remove(database)


def hand_in(tables: Tables) -> tuple[Any, Any]:
    sheet = tables.sheet.objects.create()
    line = tables.line.objects.create(sheet=sheet)
    sheet.state = "in"
    sheet.save()
    return sheet, line


def test_an_open_row_may_be_changed_and_deleted(tables: Tables) -> None:
    sheet = tables.sheet.objects.create()
    line = tables.line.objects.create(sheet=sheet)
    line.level = 3
    line.save()
    assert tables.line.objects.filter(sheet=sheet).update(level=4) == 1
    assert line.delete()[0] == 1
    assert tables.sheet.objects.all().delete()[0] == 1


CHANGES: dict[str, Callable[[Tables, Any, Any], object]] = {
    "save": lambda _, sheet, __: sheet.save(),
    "delete": lambda _, sheet, __: sheet.delete(),
    "update": lambda tables, _, __: tables.sheet.objects.update(state="open"),
    "delete many": lambda tables, _, __: tables.sheet.objects.all().delete(),
    "update many": lambda tables, sheet, _: tables.sheet.objects.bulk_update([sheet], ["state"]),
    "save a part": lambda _, __, line: line.save(),
    "delete a part": lambda _, __, line: line.delete(),
    "update parts": lambda tables, _, __: tables.line.objects.update(level=4),
    "delete parts": lambda _, sheet, __: sheet.line_set.all().delete(),
    "create over a part": lambda tables, _, line: tables.line.objects.bulk_create(
        [line], update_conflicts=True, update_fields=["level"], unique_fields=["id"]
    ),
}


@pytest.mark.parametrize("how", CHANGES)
def test_a_frozen_row_and_its_parts_stand(tables: Tables, how: str) -> None:
    sheet, line = hand_in(tables)
    with pytest.raises(AuditError, match="can be neither changed nor deleted"):
        CHANGES[how](tables, sheet, line)
    assert tables.sheet.objects.get().state == "in"
    assert tables.line.objects.get().level == 0


def test_the_row_in_hand_need_not_know_that_it_froze(tables: Tables) -> None:
    sheet, _ = hand_in(tables)
    stale = tables.sheet(pk=sheet.pk, state="open")
    stale._state.adding = False
    with pytest.raises(AuditError):
        stale.save()


def test_the_named_exceptions_may_still_change(tables: Tables) -> None:
    sheet, _ = hand_in(tables)
    sheet.note = "seen"
    sheet.save(update_fields=["note"])
    tables.sheet.objects.update(note="seen twice")
    with pytest.raises(AuditError):
        sheet.save(update_fields=["note", "state"])
    assert tables.sheet.objects.get().note == "seen twice"


RAW = {
    "update": "UPDATE audit_sheet SET state = 'open'",
    "delete": "DELETE FROM audit_sheet",
    "update a part": "UPDATE audit_line SET level = 4",
    "delete a part": "DELETE FROM audit_line",
    "add a part": "INSERT INTO audit_line (sheet_id, level) SELECT id, 3 FROM audit_sheet",
}


@pytest.mark.parametrize("how", RAW)
def test_the_database_holds_a_frozen_row_and_its_parts(
    tables: Tables, database: str, how: str
) -> None:
    hand_in(tables)
    with (
        pytest.raises(IntegrityError, match=r"a (line of a )?handed-in sheet stands"),
        transaction.atomic(database),
        connections[database].cursor() as cursor,
    ):
        cursor.execute(RAW[how])


def test_a_table_with_guards_cannot_be_emptied_at_once(tables: Tables, database: str) -> None:
    if connections[database].vendor != "postgresql":
        pytest.skip("SQLite has no TRUNCATE; its DELETE is guarded row by row.")
    with (
        pytest.raises(IntegrityError, match="cannot be deleted"),
        transaction.atomic(database),
        connections[database].cursor() as cursor,
    ):
        cursor.execute("TRUNCATE audit_line")


def test_a_part_cannot_be_moved_to_a_frozen_row(tables: Tables, database: str) -> None:
    frozen, _ = hand_in(tables)
    open_line = tables.line.objects.create(sheet=tables.sheet.objects.create())
    open_line.sheet = frozen
    with pytest.raises(IntegrityError, match="it cannot be changed"), transaction.atomic(database):
        open_line.save()


def test_guards_put_on_twice_are_there_once(tables: Tables, database: str) -> None:
    triggers.install(database)
    assert triggers.missing(database) == []
    triggers.remove(database)
    wanted = {"line_delete", "line_insert", "line_update", "sheet_delete", "sheet_update"}
    gone = {name.removeprefix("audit_guard_audit_") for name in triggers.missing(database)}
    on_server = connections[database].vendor == "postgresql"
    assert gone == (wanted | {"line_truncate", "sheet_truncate"} if on_server else wanted)


def test_a_table_that_is_rebuilt_has_its_guards_again(tables: Tables, database: str) -> None:
    hand_in(tables)
    longer = models.CharField(max_length=9, default="open", db_index=True)
    longer.set_attributes_from_name("state")
    longer.model = tables.sheet
    triggers.before_migrate(using=database, plan=["a migration"])
    with connections[database].schema_editor() as editor:
        editor.alter_field(tables.sheet, tables.sheet._meta.get_field("state"), longer)
    triggers.after_migrate(using=database)
    assert triggers.missing(database) == []
    with pytest.raises(IntegrityError), transaction.atomic(database):
        models.QuerySet(tables.sheet, using=database).update(state="open")


def test_nothing_is_taken_off_where_nothing_migrates(tables: Tables, database: str) -> None:
    triggers.before_migrate(using=database, plan=[])
    assert triggers.missing(database) == []


def test_an_sqlite_table_cannot_be_rebuilt_under_guards(tables: Tables, database: str) -> None:
    """Why `before_migrate` takes them off; once this passes without, that can go."""
    if connections[database].vendor != "sqlite":
        pytest.skip("PostgreSQL changes a table in place, guards and all.")
    plain = models.CharField(max_length=9, default="open")
    plain.set_attributes_from_name("state")
    plain.model = tables.sheet
    with (
        pytest.raises(OperationalError, match="error in trigger"),
        connections[database].schema_editor() as editor,
    ):
        editor.alter_field(tables.sheet, tables.sheet._meta.get_field("state"), plain)
