"""Check the record of one academy or of all: chain, columns, checkpoints, guards, rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.management.base import BaseCommand, CommandError

from academy.audit import affected, comparing, queries, sentences, triggers
from academy.audit.checking import STEP
from academy.audit.checkpoints import after
from academy.audit.errors import AuditError
from academy.audit.models import Checkpoint
from academy.audit.places import Followed, Place, beginning
from academy.audit.verifying import length_of, verify_stretch
from academy.craft.measure import counted

if TYPE_CHECKING:
    from argparse import ArgumentParser

    from academy.craft.proof.chain import Break


class Command(BaseCommand):
    help = "Check that the record is whole: chain, columns, checkpoints, roots, guards, rows."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--academy", metavar="SLUG", help="only this academy")
        parser.add_argument(
            "--new", action="store_true", help="only what came after the newest checkpoint"
        )

    def handle(self, *_: Any, academy: str | None, new: bool, **__: Any) -> None:
        names = self._names()
        if academy is not None:
            names = {key: name for key, name in names.items() if name == academy}
            if not names:
                raise CommandError(f"No academy called {academy} has a record here.")
        wrong = [name for key, name in names.items() if not self._whole(key, name, new=new)]
        if not new:
            sound = {key: name for key, name in names.items() if name not in wrong}
            wrong += [name for key, name in sound.items() if not self._as_recorded(key, name)]
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

    def _whole(self, academy_id: int, name: str, *, new: bool) -> bool:
        try:
            start = self._start(academy_id, new=new)
        except AuditError as trouble:
            self.stdout.write(f"{name}: {trouble.message}")
            return False
        found = self._followed(academy_id, name, start)
        right = found.place.sequence - start.sequence
        if found.broken:
            self.stdout.write(f"{name}: {found.broken.sentence}")
            self.stdout.write(f"{name}: Entries before it that are as written: {right}.")
            self._tell_affected(academy_id, name, found.broken)
            return False
        which = "all of them" if start.sequence == 0 else f"all after number {start.sequence}"
        self.stdout.write(
            f"{name}: Entries that are as written: {right}, {which}. "
            f"Hash of the last: {found.place.head.hex()}"
        )
        return True

    def _as_recorded(self, academy_id: int, name: str) -> bool:
        """Whether the rows whose sums stand in the record are still those."""
        found = comparing.compared(academy_id)
        for what, rows in found.items():
            for row in rows.unlike:
                self.stdout.write(f"{name}: {row.sentence}")
            self.stdout.write(f"{name}: {what} compared with the record: {rows.count}.")
        return not any(rows.unlike for rows in found.values())

    def _start(self, academy_id: int, *, new: bool) -> Place:
        newest = Checkpoint.objects.newest(academy_id) if new else None
        return after(newest) if newest else beginning(academy_id, tree=True)

    def _followed(self, academy_id: int, name: str, start: Place) -> Followed:
        """In steps, each of which is told."""
        last = length_of(academy_id)
        found = Followed(start)
        for until in [*range(start.sequence + STEP, last, STEP), last]:
            found = verify_stretch(academy_id, found.place, until)
            if found.broken:
                break
            if until < last:
                self.stdout.write(f"{name}: {until} of {last}")
        return found

    def _tell_affected(self, academy_id: int, name: str, broken: Break) -> None:
        doubt = affected.in_doubt(academy_id, broken)
        many = counted(doubt["last"] - doubt["first"] + 1, "entry", "entries")
        self.stdout.write(f"{name}: In doubt from number {doubt['first']}: {many}, about")
        for row in affected.named(doubt["subjects"]):
            self.stdout.write(f"{name}:   {row.words} ({row.kind} {row.token})".rstrip())
        if doubt["more"]:
            self.stdout.write(f"{name}:   and {doubt['more']} more")
