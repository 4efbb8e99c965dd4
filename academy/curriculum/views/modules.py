"""Reading the curriculum: the list with its graph, a module's page, the awards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from academy.curriculum import rules
from academy.curriculum.models import Award, ModuleVersion
from academy.curriculum.queries import (
    award_rows,
    drafts,
    history,
    module_graph,
    module_page,
    module_rows,
)
from academy.curriculum.views.common import number_in, the_module
from academy.people.acting import acting

if TYPE_CHECKING:
    from academy.people.acting import ActingRequest


@require_safe
@acting()
def module_list(request: ActingRequest) -> HttpResponse:
    rows = module_rows(request.acting.academy)
    graph, tokens = module_graph(rows)
    writes = rules.may_write(request.acting)
    context = {
        "rows": rows,
        "graph": graph,
        "boxes": [(box, tokens[box.key]) for box in graph.boxes],
        "writes": writes,
        "drafts": drafts(request.acting.academy) if writes else [],
    }
    return render(request, "curriculum/module_list.html", context)


@require_safe
@acting()
def module_detail(request: ActingRequest, token: str) -> HttpResponse:
    module = the_module(request.acting, token)
    versions = ModuleVersion.objects.visible_to(request.acting.person, request.acting.academy)
    rows = history(versions, module)
    published = versions.with_parts().filter(module=module, state="published").first()
    if not rows:
        raise Http404
    context = {
        "module": module,
        "page": module_page(published, number_in(request, "sheet") or 1) if published else None,
        "history": rows,
        "newest": rows[0].version,
        "draft": next((row.version for row in rows if row.version.state == "draft"), None),
        "causes": rules.may_see_causes(request.acting),
        "writes": rules.may_write(request.acting),
    }
    return render(request, "curriculum/module_detail.html", context)


@require_safe
@acting()
def award_list(request: ActingRequest) -> HttpResponse:
    academy = request.acting.academy
    awards = Award.objects.visible_to(request.acting.person, academy).for_list()
    context = {"awards": award_rows(awards, academy)}
    return render(request, "curriculum/award_list.html", context)
