from __future__ import annotations

from django.apps import AppConfig

from academy.curriculum import guards, sentences


class CurriculumConfig(AppConfig):
    name = "academy.curriculum"

    def ready(self) -> None:
        guards.install()
        sentences.install()
