"""A decision as an evidence pack: ask for it, wait for it, fetch it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from academy.assessment.models import Assessment, SignOff
from academy.awards.models import Certificate
from academy.people.acting import acting
from academy.reports.models import EvidencePack
from academy.reports.packs.sheets import assessments_of
from academy.web.models import JobState
from academy.web.tasks import enqueue

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from academy.people.acting import Acting, ActingRequest

_OPEN = (JobState.WAITING, JobState.RUNNING)


@dataclass(frozen=True)
class Decision:
    """What a pack is about: its kind, its row, its page, its title."""

    about: str
    pk: int
    page: str
    title: str


@require_http_methods(["GET", "HEAD", "POST"])
@acting()
def evidence(request: ActingRequest, about: str, token: str) -> HttpResponse:
    """The newest pack of a decision that one asked for; a post asks. htmx gets its state alone."""
    decision = _decision(request.acting, about, token)
    if request.method == "POST":
        ask_pack(request.acting, decision)
        return redirect("reports:evidence", request.acting.academy.slug, about, token)
    packs = _packs(request.acting, decision)
    newest = packs.select_related("job").first()
    context = {
        "decision": decision,
        "token": token,
        "newest": newest,
        "waiting": newest is not None and newest.state in _OPEN,
        "ready": packs.exclude(file="").first(),
    }
    part, whole = "reports/parts/packs.html", "reports/evidence.html"
    return render(request, part if request.htmx else whole, context)


@require_safe
@acting()
def evidence_download(request: ActingRequest, about: str, token: str) -> HttpResponse:
    """The newest ZIP of a decision that one asked for oneself."""
    packs = _packs(request.acting, _decision(request.acting, about, token))
    pack = get_object_or_404(packs.exclude(file="")[:1])
    try:
        with pack.file.open("rb") as kept:
            answer = HttpResponse(kept.read(), content_type="application/zip")
    except FileNotFoundError as gone:
        raise Http404 from gone
    answer["Content-Disposition"] = f'attachment; filename="evidence-{about}.zip"'
    answer["Cache-Control"] = "private, no-store"
    return answer


def ask_pack(acting: Acting, decision: Decision) -> EvidencePack:
    """Let a worker make a pack. Asked again while one is being made, it gives that one."""
    with transaction.atomic():
        going = _packs(acting, decision).filter(job__state__in=_OPEN, file="", trouble="")
        if found := going.first():
            return found
        pack = EvidencePack.objects.create(
            academy=acting.academy,
            about=decision.about,
            subject_id=decision.pk,
            asked_by=acting.person,
        )
        job = enqueue("academy.reports.tasks.build_pack", pack.pk)
        EvidencePack.objects.filter(pk=pack.pk).update(job=job)
    return pack


def _packs(acting: Acting, decision: Decision) -> QuerySet[EvidencePack]:
    return EvidencePack.objects.filter(
        academy=acting.academy,
        asked_by=acting.person,
        about=decision.about,
        subject_id=decision.pk,
    )


def _decision(acting: Acting, about: str, token: str) -> Decision:
    person, academy = acting.person, acting.academy
    if about == EvidencePack.About.ASSESSMENT:
        ids = Assessment.objects.filter(academy=academy, token=token).values_list("pk", flat=True)
        sheets = assessments_of(ids, person)
        if not sheets:
            raise Http404
        return Decision(about, sheets[0].pk, "assessment:result-detail", str(sheets[0]))
    if about == EvidencePack.About.SIGN_OFF:
        sign_off = get_object_or_404(SignOff.objects.visible_to(person, academy), token=token)
        return Decision(about, sign_off.pk, "assessment:signoff-detail", str(sign_off))
    if about != EvidencePack.About.CERTIFICATE:
        raise Http404
    row = get_object_or_404(Certificate.objects.visible_to(person, academy), token=token)
    return Decision(about, row.pk, "awards:certificate-detail", str(row).capitalize())
