"""The app: its guards are put on the tables after every migrate."""

from __future__ import annotations

from django.apps import AppConfig
from django.core.checks import register
from django.db.models.signals import post_migrate, pre_migrate

from academy.audit import appending, triggers


class AuditConfig(AppConfig):
    name = "academy.audit"
    label = "audit"
    verbose_name = "record"

    def ready(self) -> None:
        from academy.audit import checks  # needs the apps loaded
        from academy.web.tasks import nightly

        register(checks.managers_keep_what_stands)
        triggers.protect("audit_entry", label="an entry of the record")
        triggers.protect("audit_checkpoint", label="a checkpoint of the record")
        triggers.protect("audit_signingkey", label="a key of the record")
        pre_migrate.connect(triggers.before_migrate, sender=self)
        post_migrate.connect(triggers.after_migrate, sender=self)
        post_migrate.connect(appending.after_migrate, sender=self)
        nightly("academy.audit.tasks.nightly")
