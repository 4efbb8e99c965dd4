from __future__ import annotations

from typing import Any

from django.db import connections
from django_q import cluster
from django_q.management.commands.qcluster import Command as QueueCommand

from academy.web.watch import WatchfulSentinel


class Command(QueueCommand):  # type: ignore[misc]  # django-q2 has no types
    help = "Runs the background work: PDFs, mail and the nightly tasks. Start as many as needed."

    def handle(self, *args: Any, **options: Any) -> None:
        # The worker processes are forked, and a forked connection pool would be shared by all
        # of them. Each has one thread, so one connection each is enough.
        for settings in connections.settings.values():
            settings["OPTIONS"].pop("pool", None)
        # A cluster has no setting for its guard; it looks the name up when it starts.
        cluster.Sentinel = WatchfulSentinel
        super().handle(*args, **options)
