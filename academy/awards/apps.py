from __future__ import annotations

from django.apps import AppConfig

from academy.awards import guards


class AwardsConfig(AppConfig):
    name = "academy.awards"

    def ready(self) -> None:
        from academy.assessment import consequences
        from academy.awards import sentences, services

        guards.install()
        sentences.install()
        consequences.on_overturned(services.lapse_certificates, foretold=services.foretold_lapses)
