from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import BaseCommand

from academy.audit.keys import make_key
from academy.people.models import Academy


class Command(BaseCommand):
    help = "Makes everything ready to serve: tables, the key, the demo academy once, static files."

    def handle(self, *_args: Any, **_options: Any) -> None:
        call_command("migrate", verbosity=0)
        call_command("createcachetable", verbosity=0)
        make_key()
        if settings.BLOCKWORK_DEMO and not Academy.objects.exists():
            self.stdout.write("Loading the demo academy (once).")
            call_command("load_demo")
            call_command("make_checkpoint", verbosity=0)
        self.collect_static()

    def collect_static(self) -> None:
        """Collect only what has changed: compressing everything takes seconds."""
        state = digest_of_static_files()
        root = Path(settings.STATIC_ROOT)
        stamp = root.with_suffix(".state")
        if not (root.exists() and stamp.exists() and stamp.read_text() == state):
            call_command("collectstatic", interactive=False, clear=True, verbosity=0)
            stamp.write_text(state)


def digest_of_static_files() -> str:
    digest = hashlib.sha256()
    for finder in get_finders():
        for path, storage in finder.list([]):
            found = Path(storage.path(path)).stat()
            digest.update(f"{path} {found.st_size} {found.st_mtime_ns}\n".encode())
    return digest.hexdigest()
