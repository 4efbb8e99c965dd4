"""`manage.py set_up_academy`: a new academy and the link that lets its first manager in."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from academy.people.errors import PeopleError
from academy.people.services import set_up_academy
from academy.people.tasks import link_of


class Command(BaseCommand):
    help = "Set up an academy and invite its first manager; prints the invitation's link."

    def add_arguments(self, parser: CommandParser) -> None:
        # None is required by the parser: what is missing is said in a sentence like the rest.
        parser.add_argument("--slug", default="", help="its word in addresses: colour-school")
        parser.add_argument("--name", default="", help="its full name")
        parser.add_argument("--manager-email", default="")
        parser.add_argument("--manager-name", default="")
        parser.add_argument("--time-zone", default="Europe/London", help="such as Europe/Paris")

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            invitation = set_up_academy(
                slug=options["slug"],
                name=options["name"],
                manager_email=options["manager_email"],
                manager_name=options["manager_name"],
                time_zone=options["time_zone"],
            )
        except PeopleError as refused:
            option = f"--{(refused.field or '').replace('_', '-')}"
            raise CommandError(f"{option}: {refused.message}") from refused
        self.stdout.write(f"{invitation.academy.name} is set up.")
        self.stdout.write(f"A mail goes to {invitation.email}; this link lets them in as well:")
        self.stdout.write(link_of(invitation))
