"""Gives an academy the shipped modules and awards."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from academy.curriculum.services import CurriculumError, load_awards, load_modules
from academy.people.models import Academy

if TYPE_CHECKING:
    from argparse import ArgumentParser


class Command(BaseCommand):
    help = "Publish the shipped modules and awards in an academy; doing it again changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--academy", required=True, help="The academy's name in addresses.")

    def handle(self, *_: Any, **options: Any) -> None:
        academy = Academy.objects.filter(slug=options["academy"]).first()
        if academy is None:
            raise CommandError(f"There is no academy “{options['academy']}”. Look at its address.")
        try:
            with transaction.atomic():
                modules = load_modules(academy=academy, by=None)
                awards = load_awards(academy=academy, by=None)
        except CurriculumError as error:
            raise CommandError(error.message) from error
        self.stdout.write(
            f"{academy.name}: {len(modules.published)} modules published, "
            f"{len(modules.unchanged)} as they were, {len(awards)} awards made."
        )
