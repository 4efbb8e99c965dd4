"""The blank head sheet on paper, for the day the tablet fails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from academy.assessment.paper_sheet import PaperSheet
from academy.curriculum.models import ModuleVersion
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.people.acting import ActingRequest


@require_safe
@acting(Role.ASSESSOR, Role.EDUCATOR)
def paper_sheet(request: ActingRequest, token: str) -> HttpResponse:
    """One A4 page with the head and the criteria of a published edition."""
    visible = ModuleVersion.objects.visible_to(request.acting.person, request.acting.academy)
    version = get_object_or_404(visible.select_related("module"), token=token)
    if version.state == ModuleVersion.State.DRAFT:
        raise Http404
    return render(request, "assessment/paper_sheet.html", {"sheet": PaperSheet(version)})
