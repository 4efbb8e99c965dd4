"""What a deed leaves in the record."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from academy.audit.models import Entry
from academy.audit.services import record

if TYPE_CHECKING:
    from collections.abc import Iterator

    from academy.people.models import Academy


@contextmanager
def one_entry_of(academy: Academy, action: str) -> Iterator[None]:
    """A block in which exactly one entry is written, of the action that is named."""
    before = set(Entry.objects.values_list("pk", flat=True))
    yield
    new = Entry.objects.exclude(pk__in=before)
    assert [entry.action for entry in new] == [action]
    assert new[0].academy_id == academy.pk


def recorded(**what: Any) -> Entry:
    """Write an entry with `record`, and read it back."""
    record(**what)
    return Entry.objects.filter(academy_id=what["academy_id"]).latest("sequence")
