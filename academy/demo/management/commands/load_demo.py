"""Loads the demo academy."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from academy.demo import story
from academy.demo.loading import load_demo
from academy.people.demo import PASSWORD
from academy.people.models import Academy

if TYPE_CHECKING:
    from argparse import ArgumentParser


class Command(BaseCommand):
    help = "Loads the Larkmere academy with 16 months of work, once. It is all invented."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--beside", action="store_true", help="Load it although there are other academies."
        )
        parser.add_argument(
            "--profile", action="store_true", help="Print the seconds that each part took."
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        if not settings.BLOCKWORK_DEMO:
            raise CommandError(
                "The demo is switched off: everybody in it has a password that is printed. "
                "Set BLOCKWORK_DEMO=1 where no real academy works."
            )
        slug = story.read("cohorts")["academy"]["key"]
        if Academy.objects.filter(slug=slug).exists():
            self.stdout.write("The demo academy is there already. Nothing was changed.")
            return
        if Academy.objects.exists() and not options["beside"]:
            raise CommandError(
                "There is another academy here. Use a database of its own for the demo, "
                "or say --beside."
            )
        loaded = load_demo()
        total = sum(loaded.seconds.values())
        self.stdout.write(
            f"{loaded.academy.name}: {loaded.events} events in {total:.1f} s. "
            f"Everybody's password is {PASSWORD}"
        )
        if options["profile"]:
            for part, seconds in loaded.seconds.items():
                self.stdout.write(f"  {part:12} {seconds:6.2f} s")
