from __future__ import annotations

from django.apps import AppConfig

from academy.awards import guards


class AwardsConfig(AppConfig):
    name = "academy.awards"

    def ready(self) -> None:
        guards.install()
