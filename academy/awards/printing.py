"""The certificate on paper: its template's facts, its QR code, and the state of its PDF."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import mark_safe

from academy.craft.head.foils import plan
from academy.craft.head.sectioning import FoilSettings
from academy.craft.head.svg import Drawing, view_svg
from academy.web.models import Job, JobState

if TYPE_CHECKING:
    from academy.awards.models import Certificate

STYLESHEETS = ("css/paper.css",)


def pdf_state(certificate: Certificate) -> str:
    """ready, waiting or failed."""
    if getattr(certificate, "file", None) is not None:
        return "ready"
    job = Job.objects.filter(key=job_key(certificate.pk)).first()
    return "failed" if job is not None and job.state == JobState.FAILED else "waiting"


def job_key(certificate_id: int) -> str:
    return f"certificate {certificate_id}"


def public_address(certificate: Certificate) -> str:
    """What the QR code holds: the site's own address, whatever request asked for the paper."""
    path = reverse("awards_public:check", kwargs={"token": certificate.token})
    return f"{settings.SITE_ADDRESS.rstrip('/')}{path}"


def qr_svg(text: str) -> str:
    """The code as one svg path, error correction M; ink comes from the page."""
    code = segno.make(text, error="m", micro=False)
    svg: str = code.svg_inline(border=2, svgclass=None, lineclass=None, omitsize=True)
    return svg


def context(certificate: Certificate) -> dict[str, Any]:
    """Everything the paper says."""
    sign_offs = list(certificate.sign_offs.select_related("assessor", "module_version"))
    assessors = sorted({row.assessor.name for row in sign_offs})
    return {
        "certificate": certificate,
        "modules": [
            {**module, "signed_on": date.fromisoformat(module["signed_on"])}
            for module in certificate.modules
        ],
        "assessors": assessors,
        "address": public_address(certificate),
        "qr": mark_safe(qr_svg(public_address(certificate))),  # noqa: S308
        "head": mark_safe(_head()),  # noqa: S308
    }


@cache
def _head() -> str:
    """A half head from the left with foils in blue (`written`), the same on every paper."""
    svg = view_svg("left", Drawing(plan=plan("half_head", FoilSettings()), labels=False))
    return svg.replace('class="hd"', 'class="hd written"', 1)
