from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class WebConfig(AppConfig):
    name = "academy.web"

    def ready(self) -> None:
        # Models can only be imported once every app is loaded.
        from academy.web.tasks import nightly, schedule_nightly

        post_migrate.connect(schedule_nightly, sender=self, dispatch_uid="nightly")
        nightly("academy.web.tasks.forget_done_jobs")
