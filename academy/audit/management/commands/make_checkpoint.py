"""Sign the record as it is now: of one academy or of all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.management.base import BaseCommand, CommandError

from academy.audit import queries, sentences
from academy.audit.checkpoints import make_checkpoint
from academy.audit.errors import AuditError

if TYPE_CHECKING:
    from argparse import ArgumentParser


class Command(BaseCommand):
    help = "Signs the record as it is now, and prints its size and root."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--academy", metavar="SLUG", help="only this academy")

    def handle(self, *_: Any, academy: str | None, verbosity: int, **__: Any) -> None:
        ids = queries.chained_academies()
        names = sentences.words_for("people.academy_slug", ids)
        wanted = [key for key in ids if academy in {None, names.get(key, str(key))}]
        if academy is not None and not wanted:
            raise CommandError(f"No academy called {academy} has a record here.")
        for key in wanted:
            try:
                made = make_checkpoint(key)
            except AuditError as refused:
                raise CommandError(f"{names.get(key, key)}: {refused.message}") from refused
            if verbosity:
                self.stdout.write(
                    f"{names.get(key, key)}: {made.size} entries, root {made.root_hex}"
                )
