from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_delete

from academy.assessment import guards
from academy.audit import reading


class AssessmentConfig(AppConfig):
    name = "academy.assessment"

    def ready(self) -> None:
        from academy.assessment import blind, consequences, sentences
        from academy.assessment.models import Photo
        from academy.assessment.services import sampling
        from academy.assessment.services.photos import forget_file
        from academy.web.tasks import nightly

        post_delete.connect(forget_file, sender=Photo, dispatch_uid="assessment.photo.file")
        nightly("academy.assessment.tasks.forget_results")
        guards.install()
        sentences.install()
        reading.narrow(blind.narrow)
        consequences.on_overturned(sampling.add_rest, foretold=sampling.foretell_rest)
