"""The certificate on paper: its template's facts, its QR code, and the state of its PDF."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import segno
from django.conf import settings
from django.urls import reverse
from django.utils.safestring import mark_safe

from academy.audit.models import Checkpoint
from academy.craft.head.svg import Drawing, view_svg
from academy.curriculum.drawings import sheets_for
from academy.web.models import Job, JobState

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.awards.models import Certificate
    from academy.curriculum.models import ModuleVersion

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
    sign_offs = list(certificate.sign_offs.select_related("assessor", "module_version__module"))
    assessors = sorted({row.assessor.name for row in sign_offs})
    return {
        "certificate": certificate,
        "modules": [
            {**module, "signed_on": date.fromisoformat(module["signed_on"])}
            for module in certificate.modules
        ],
        "assessors": assessors,
        "address": public_address(certificate),
        "checkpoint": Checkpoint.objects.newest(certificate.academy_id),
        "qr": mark_safe(qr_svg(public_address(certificate))),  # noqa: S308
        "head": mark_safe(_head([row.module_version for row in sign_offs])),  # noqa: S308
    }


def _head(versions: Iterable[ModuleVersion]) -> str:
    """The plan of the award's last module that lays foils, in the view that shows most of them.

    Foils stand in blue (`written`). An award without foils shows the bare zones, so that the
    drawing never claims what was not judged.
    """
    for version in sorted(versions, key=lambda version: -version.module.position):
        for sheet in sheets_for(version):
            if sheet.foils:
                best = max((view.svg for view in sheet.views), key=_foils_seen)
                return best.replace('class="hd"', 'class="hd written"', 1)
    return view_svg("left", Drawing())


def _foils_seen(svg: str) -> int:
    return svg.count('class="hd-no"')
