"""The demo academy for tests: loaded in a transaction that is taken back when they are done."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Final
from unittest import mock

from django.db import transaction
from django_q.conf import Conf

from academy.demo.loading import Loaded, load_demo

# A Wednesday in winter: the academy's clock shows the same hour.
NOW: Final = datetime(2026, 11, 25, 9, 40, tzinfo=UTC)


@contextmanager
def demo_played(now: datetime = NOW) -> Iterator[Loaded]:
    """The demo as it stands at `now`; mails and PDFs stay in the queue, as before a worker runs."""
    with transaction.atomic():
        with mock.patch.object(Conf, "SYNC", new=False):
            loaded = load_demo(now)
        yield loaded
        transaction.set_rollback(True)
