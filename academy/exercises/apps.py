from __future__ import annotations

from django.apps import AppConfig

from academy.exercises import guards


class ExercisesConfig(AppConfig):
    name = "academy.exercises"

    def ready(self) -> None:
        from academy.exercises import sentences

        guards.install()
        sentences.install()
