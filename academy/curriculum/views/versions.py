"""Older versions, and what differs between two of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from academy.curriculum import rules
from academy.curriculum.content import differences
from academy.curriculum.models import ModuleVersion
from academy.curriculum.queries import module_page
from academy.curriculum.rows import content_of
from academy.curriculum.views.common import number_in, the_module, the_version
from academy.people.acting import acting

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting()
def version_detail(request: ActingRequest, token: str) -> HttpResponse:
    version = the_version(request.acting, token)
    if version.state == ModuleVersion.State.DRAFT:
        slug = request.acting.academy.slug
        return redirect("curriculum:draft-preview", academy=slug, token=token)
    context = {
        "page": module_page(version, number_in(request, "sheet") or 1),
        "causes": rules.may_see_causes(request.acting),
        "writes": rules.may_write(request.acting),
    }
    return render(request, "curriculum/version_detail.html", context)


@require_safe
@acting()
def version_difference(request: ActingRequest, token: str) -> HttpResponse:
    module = the_module(request.acting, token)
    visible = ModuleVersion.objects.visible_to(request.acting.person, request.acting.academy)
    versions = visible.filter(module=module).with_parts()
    old = get_object_or_404(versions, number=number_in(request, "old"))
    new = get_object_or_404(versions, number=number_in(request, "new"))
    context = {
        "module": module,
        "old": old,
        "new": new,
        "differences": differences(content_of(old), content_of(new)),
    }
    return render(request, "curriculum/version_difference.html", context)
