from __future__ import annotations

from django.apps import AppConfig

from academy.exercises import guards


class ExercisesConfig(AppConfig):
    name = "academy.exercises"

    def ready(self) -> None:
        from academy.exercises import sentences
        from academy.web.tasks import nightly

        guards.install()
        sentences.install()
        nightly("academy.exercises.tasks.forget_prints")
        nightly("academy.exercises.paper_tasks.end_open_tests")
