"""Background work on certificates, run by the worker."""

from __future__ import annotations

import hashlib
import secrets

from django.core.files.base import ContentFile
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from academy.audit.checkpoints import make_checkpoint
from academy.awards.models import Certificate, CertificateFile
from academy.awards.printing import STYLESHEETS, context
from academy.web.paper import self_contained
from academy.web.pdf import render_pdf


def print_certificate(certificate_id: int) -> None:
    """Print a certificate once and keep the file. Run again, it finds the file and stops."""
    certificate = Certificate.objects.select_related("academy", "holder").get(pk=certificate_id)
    if CertificateFile.objects.filter(certificate=certificate).exists():
        return
    # What the paper says of the record covers its own issuing. No key, no paper: the job tells.
    make_checkpoint(certificate.academy_id)
    with timezone.override(certificate.academy.time_zone):
        html = render_to_string("print/certificate.html", context(certificate))
    content = render_pdf(self_contained(html), stylesheets=STYLESHEETS)
    with transaction.atomic():
        # Held, so that two workers keep one file.
        Certificate.objects.select_for_update().get(pk=certificate_id)
        if CertificateFile.objects.filter(certificate=certificate).exists():
            return
        kept = CertificateFile(certificate=certificate, sha256=hashlib.sha256(content).hexdigest())
        kept.content.save(f"{secrets.token_urlsafe(16)}.pdf", ContentFile(content), save=False)
        kept.save()
