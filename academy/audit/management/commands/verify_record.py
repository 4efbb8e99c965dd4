"""Check the record of one academy or of all: the chain, the columns, the guards."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.management.base import BaseCommand, CommandError

from academy.audit import queries, sentences, triggers

if TYPE_CHECKING:
    from argparse import ArgumentParser


class Command(BaseCommand):
    help = "Check that the record is whole: each academy's chain, its columns and its guards."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--academy", metavar="SLUG", help="only this academy")

    def handle(self, *_: Any, academy: str | None, **__: Any) -> None:
        names = self._names()
        if academy is not None:
            names = {key: name for key, name in names.items() if name == academy}
            if not names:
                raise CommandError(f"No academy called {academy} has a record here.")
        wrong = [name for key, name in names.items() if not self._whole(key, name)]
        for guard in triggers.missing():
            self.stdout.write(f"The guard {guard} is missing. Run: manage.py migrate")
            wrong.append(guard)
        if wrong:
            raise CommandError(f"The record is not whole: {', '.join(wrong)}.")
        if not names:
            self.stdout.write("The record is empty.")

    def _names(self) -> dict[int, str]:
        ids = queries.chained_academies()
        slugs = sentences.words_for("people.academy_slug", ids)
        return {key: slugs.get(key, str(key)) for key in ids}

    def _whole(self, academy_id: int, name: str) -> bool:
        result = queries.verify_chain(academy_id)
        if result.broken:
            self.stdout.write(f"{name}: {result.broken.sentence}")
            self.stdout.write(f"{name}: Entries before it that are as written: {result.checked}.")
            return False
        self.stdout.write(
            f"{name}: Entries that are as written: {result.checked}, all of them. "
            f"Hash of the last: {result.head.hex()}"
        )
        return True
