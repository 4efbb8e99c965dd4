"""Put a new key in the place of the one that signs the record."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from academy.audit.errors import AuditError
from academy.audit.keys import rotate_key


class Command(BaseCommand):
    help = "Makes a new key to sign the record with. The old one signs it and is forgotten."

    def handle(self, *_: Any, **__: Any) -> None:
        try:
            row = rotate_key()
        except AuditError as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(
            f"Key {row.key} signs from now on, announced by {row.follows}. "
            "Where other machines run workers, copy the key file to them."
        )
