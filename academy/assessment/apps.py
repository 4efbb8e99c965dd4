from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_delete

from academy.assessment import guards
from academy.audit import comparing, reading


class AssessmentConfig(AppConfig):
    name = "academy.assessment"

    def ready(self) -> None:
        from academy.assessment import blind, consequences, sentences, submissions
        from academy.assessment.models import Photo, ReferencePhoto
        from academy.assessment.services import sampling
        from academy.assessment.services.photos import forget_file
        from academy.web.tasks import nightly

        for model in (Photo, ReferencePhoto):
            uid = f"{model._meta.label_lower}.file"
            post_delete.connect(forget_file, sender=model, dispatch_uid=uid)
        nightly("academy.assessment.tasks.forget_results")
        guards.install()
        sentences.install()
        reading.narrow(blind.narrow)
        comparing.compare("Submitted result sheets", submissions.compare_submissions)
        consequences.on_overturned(sampling.add_rest, foretold=sampling.foretell_rest)
