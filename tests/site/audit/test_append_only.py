from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import IntegrityError, connection, models, transaction
from django.test.utils import isolate_apps

from academy.audit import triggers
from academy.audit.appendonly import AppendOnlyModel, FrozenModel
from academy.audit.checks import managers_keep_what_stands
from academy.audit.errors import AuditError
from academy.audit.models import Entry
from tests.site.entries import recorded


def write() -> Entry:
    with transaction.atomic():
        return recorded(
            academy_id=1,
            actor_id=3,
            action="audit.test.done",
            subject=("people.cohort", 4),
            details={"number": 1},
        )


CHANGES: dict[str, Callable[[Entry], object]] = {
    "save": lambda entry: entry.save(),
    "save a field": lambda entry: entry.save(update_fields=["actor_id"]),
    "delete": lambda entry: entry.delete(),
    "update": lambda _: Entry.objects.update(actor_id=9),
    "delete many": lambda entry: Entry.objects.filter(pk=entry.pk).delete(),
    "update many": lambda entry: Entry.objects.bulk_update([entry], ["actor_id"]),
    "update or create": lambda entry: Entry.objects.update_or_create(
        pk=entry.pk, defaults={"actor_id": 9}
    ),
    "create over it": lambda entry: Entry.objects.bulk_create(
        [entry], update_conflicts=True, update_fields=["actor_id"], unique_fields=["pk"]
    ),
}


@pytest.mark.parametrize("how", CHANGES)
def test_an_entry_cannot_be_changed_or_deleted(how: str) -> None:
    entry = write()
    entry.actor_id = 9
    with pytest.raises(AuditError, match="can be neither changed nor deleted"):
        CHANGES[how](entry)
    assert Entry.objects.get().actor_id == 3


def test_a_new_row_with_the_key_of_an_old_one_does_not_replace_it() -> None:
    copy = write()
    copy._state.adding = True
    copy.actor_id = 9
    with pytest.raises(IntegrityError), transaction.atomic():
        copy.save()
    assert Entry.objects.get().actor_id == 3


RAW = {
    "update": "UPDATE audit_entry SET actor_id = 9",
    "delete": "DELETE FROM audit_entry",
    "upsert": "INSERT INTO audit_entry SELECT * FROM audit_entry WHERE true "
    "ON CONFLICT (id) DO UPDATE SET actor_id = 9",
    "replace": "INSERT OR REPLACE INTO audit_entry SELECT * FROM audit_entry",
}


@pytest.mark.parametrize("how", RAW)
def test_the_database_refuses_what_does_not_come_through_the_model(how: str) -> None:
    if how == "replace" and connection.vendor != "sqlite":
        pytest.skip("PostgreSQL has no INSERT OR REPLACE; its upsert is tried beside it.")
    write()
    with (
        pytest.raises(IntegrityError, match="an entry of the record stands"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(RAW[how])
    assert Entry.objects.get().actor_id == 3


def test_a_query_set_that_goes_round_the_manager_is_stopped_by_the_database() -> None:
    write()
    with pytest.raises(IntegrityError, match="cannot be deleted"), transaction.atomic():
        models.QuerySet(Entry).delete()


def test_every_guard_of_every_app_is_in_place_after_migrating() -> None:
    assert triggers.missing() == []


@isolate_apps("academy.audit")
def test_a_model_that_stands_with_a_plain_manager_is_found_by_the_check(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Stone(AppendOnlyModel):
        class Meta:
            app_label = "audit"

    class Ice(FrozenModel):
        frozen_when = models.Q(cold=True)

        class Meta:
            app_label = "audit"

    def three(*_: Any) -> list[Any]:
        return [Stone, Ice, Entry]

    monkeypatch.setattr("academy.audit.checks.apps.get_models", three)
    found = managers_keep_what_stands()
    assert [message.obj for message in found] == [Stone, Ice]
    assert {message.id for message in found} == {"audit.E001"}


def test_all_models_of_the_site_pass_the_check() -> None:
    assert managers_keep_what_stands() == []
