"""Background work of reports, run by the worker."""

from __future__ import annotations

from datetime import timedelta

from django.core.files.base import ContentFile
from django.utils import timezone, translation

from academy.audit.errors import AuditError
from academy.reports.models import EvidencePack
from academy.reports.packs.build import pack_files, zipped

KEEP_DAYS = 30


def build_pack(pack_id: int) -> None:
    """Make an evidence pack once. Run again, it finds the file and stops."""
    pack = EvidencePack.objects.select_related("academy", "asked_by").get(pk=pack_id)
    if pack.file or pack.trouble:
        return

    def progress(done: int, total: int) -> None:
        EvidencePack.objects.filter(pk=pack_id).update(done=done, total=total)

    try:
        with timezone.override(pack.academy.time_zone), translation.override("en-gb"):
            files = pack_files(pack, progress)
    except AuditError as refused:
        pack.trouble = refused.message[:400]
        pack.save(update_fields=["trouble"])
        return
    pack.file.save("", ContentFile(zipped(files)), save=False)
    pack.save(update_fields=["file"])


def forget_packs() -> None:
    """Delete packs a month after they were asked for; they can be made again any time."""
    for row in EvidencePack.objects.filter(asked_at__lt=timezone.now() - timedelta(days=KEEP_DAYS)):
        row.file.delete(save=False)
        row.delete()
