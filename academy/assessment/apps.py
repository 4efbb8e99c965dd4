from __future__ import annotations

from django.apps import AppConfig

from academy.assessment import guards


class AssessmentConfig(AppConfig):
    name = "academy.assessment"

    def ready(self) -> None:
        from academy.assessment import sentences

        guards.install()
        sentences.install()
