from __future__ import annotations

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "academy.reports"

    def ready(self) -> None:
        from academy.web.tasks import nightly

        nightly("academy.reports.tasks.forget_packs")
