"""What the database itself refuses, whoever asks."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import DatabaseError, transaction


@contextmanager
def refused_by_the_database() -> Iterator[None]:
    """A constraint or a trigger stops what is done in here; the test goes on after it."""
    with pytest.raises(DatabaseError), transaction.atomic():
        yield
