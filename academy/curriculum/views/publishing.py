"""The three decisions on a version: publish, throw away, retire. Each is confirmed on its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from academy.curriculum.content import differences
from academy.curriculum.errors import CurriculumError
from academy.curriculum.forms.editors import PART_TITLES
from academy.curriculum.models import ModuleVersion
from academy.curriculum.queries import placed
from academy.curriculum.rows import content_of, fingerprint_of_all
from academy.curriculum.services import discard_draft, publish_version, retire_version
from academy.curriculum.services.publishing import problems_of
from academy.curriculum.views.common import the_draft, the_version
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest

READ_AND_POST = ["GET", "HEAD", "POST"]


@require_http_methods(READ_AND_POST)
@acting(Role.EDUCATOR)
def draft_publish(request: ActingRequest, token: str) -> HttpResponse:
    draft = the_draft(request.acting, token)
    content, refusal = content_of(draft), ""
    if request.method == "POST":
        try:
            seen = request.POST.get("seen", "")
            publish_version(version=draft, by=request.acting.person, seen=seen)
        except CurriculumError as refused:
            refusal = refused.message
        else:
            messages.success(request, f"{draft} is published and stands.")
            return _to_module(request, draft)
    current = ModuleVersion.objects.with_parts().filter(module=draft.module, state="published")
    former = current.first()
    differing = differences(content_of(former), content) if former else []
    context = {
        "draft": draft,
        "former": former,
        "parts": PART_TITLES,
        "seen": fingerprint_of_all(content),
        "differences": differing,
        "unchanged": former is not None and not differing,
        "problems": placed(problems_of(draft, content)),
        "refusal": refusal,
    }
    return render(request, "curriculum/draft_publish.html", context)


@require_http_methods(READ_AND_POST)
@acting(Role.EDUCATOR)
def draft_discard(request: ActingRequest, token: str) -> HttpResponse:
    draft, refusal = the_draft(request.acting, token), ""
    only = not draft.module.versions.exclude(pk=draft.pk).exists()
    if request.method == "POST":
        try:
            discard_draft(version=draft, by=request.acting.person)
        except CurriculumError as refused:
            refusal = refused.message
        else:
            messages.success(request, f"The draft of {draft} is thrown away.")
            return _to_list(request) if only else _to_module(request, draft)
    context = {"draft": draft, "only": only, "refusal": refusal}
    return render(request, "curriculum/draft_discard.html", context)


@require_http_methods(READ_AND_POST)
@acting(Role.EDUCATOR)
def version_retire(request: ActingRequest, token: str) -> HttpResponse:
    version, refusal = the_version(request.acting, token), ""
    if request.method == "POST":
        try:
            retire_version(version=version, by=request.acting.person)
        except CurriculumError as refused:
            refusal = refused.message
        else:
            messages.success(request, f"{version} is out of use.")
            return _to_module(request, version)
    return render(
        request, "curriculum/version_retire.html", {"version": version, "refusal": refusal}
    )


def _to_module(request: ActingRequest, version: ModuleVersion) -> HttpResponse:
    slug, token = request.acting.academy.slug, version.module.token
    return redirect("curriculum:module-detail", academy=slug, token=token)


def _to_list(request: ActingRequest) -> HttpResponse:
    return redirect("curriculum:module-list", academy=request.acting.academy.slug)
