from __future__ import annotations

from django.apps import AppConfig

from academy.practice import guards


class PracticeConfig(AppConfig):
    name = "academy.practice"

    def ready(self) -> None:
        from academy.practice import sentences

        guards.install()
        sentences.install()
