from __future__ import annotations

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "academy.people"

    def ready(self) -> None:
        # Models and allauth can only be imported once every app is loaded.
        from academy.people import addresses, sentences

        sentences.install()
        addresses.listen()
