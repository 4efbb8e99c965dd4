"""Background work on the record, run by the worker."""

from __future__ import annotations

from django.utils import timezone

from academy.audit import checking
from academy.audit.checkpoints import make_checkpoint
from academy.audit.queries import chained_academies
from academy.web.tasks import enqueue


def nightly() -> None:
    """Sign what is new in every academy's record, and verify the whole."""
    today = timezone.now().date().isoformat()
    for academy_id in chained_academies():
        key = f"audit.checkpoint {academy_id} {today}"
        enqueue("academy.audit.tasks.checkpoint", academy_id, key=key)
        checking.start_check(academy_id=academy_id, asked_by_id=None, whole=True)


def checkpoint(academy_id: int) -> None:
    """Sign an academy's record as it is now."""
    make_checkpoint(academy_id)


def check_step(check_id: int, done: int) -> None:
    """One step of a verification."""
    checking.check_step(check_id, done)
