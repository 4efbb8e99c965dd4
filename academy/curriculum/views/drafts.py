"""An educator writes: a new module, a draft of the next version, one part at a time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from academy.curriculum.errors import CurriculumError, StaleDraftError
from academy.curriculum.forms.basics import ModuleStartForm
from academy.curriculum.forms.editors import PART_TITLES, BasicsEditor, RowsEditor, editor_for
from academy.curriculum.queries import module_page, placed, published_titles
from academy.curriculum.rows import content_of
from academy.curriculum.services import start_draft, start_module, write_part
from academy.curriculum.services.publishing import problems_of
from academy.curriculum.views.common import number_in, the_draft, the_module, the_version
from academy.people.acting import acting
from academy.people.models import Role

if TYPE_CHECKING:
    from academy.curriculum.models import ModuleVersion
    from academy.people.acting import ActingRequest


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def module_start(request: ActingRequest) -> HttpResponse:
    academy, person = request.acting.academy, request.acting.person
    form = ModuleStartForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            draft = start_module(academy=academy, by=person, **form.cleaned_data)
        except CurriculumError as refused:
            form.refuse(refused)
        else:
            return _to_part(request, draft, "basics")
    return render(request, "curriculum/module_start.html", {"form": form})


@require_POST
@acting(Role.EDUCATOR)
def draft_start(request: ActingRequest, token: str) -> HttpResponse:
    module = the_module(request.acting, token)
    try:
        draft = start_draft(module=module, by=request.acting.person)
    except CurriculumError as refused:
        messages.error(request, refused.message)
        slug = request.acting.academy.slug
        return redirect("curriculum:module-detail", academy=slug, token=token)
    return _to_part(request, draft, "basics")


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR)
def draft_edit(request: ActingRequest, token: str, part: str) -> HttpResponse:
    draft = the_version(request.acting, token)
    if draft.state != "draft" and request.method != "POST":
        slug = request.acting.academy.slug
        return redirect("curriculum:version-detail", academy=slug, token=token)
    content = content_of(draft)
    data = request.POST if request.method == "POST" else None
    titles = published_titles(request.acting.academy, without=draft.module)
    try:
        editor = editor_for(part, content, data, titles)
    except KeyError:
        raise Http404 from None
    if editor.wants_save and editor.is_valid and _saved(request, draft, editor):
        messages.success(request, f"{editor.title}: saved.")
        return _to_part(request, draft, part)
    context = {
        "draft": draft,
        "editor": editor,
        "parts": PART_TITLES,
        "problems": placed(problems_of(draft, content)),
    }
    return render(request, "curriculum/draft_edit.html", context)


def _saved(request: ActingRequest, draft: ModuleVersion, editor: BasicsEditor | RowsEditor) -> bool:
    """Try to save; a refusal is put into the editor."""
    try:
        write_part(
            version=draft,
            changes=editor.changes,
            seen=editor.sent_seen,
            by=request.acting.person,
        )
    except StaleDraftError as stale:
        editor.stale(stale.message, stale.now)
    except CurriculumError as refused:
        editor.refuse(refused)
    else:
        return True
    return False


@require_safe
@acting(Role.EDUCATOR)
def draft_preview(request: ActingRequest, token: str) -> HttpResponse:
    draft = the_draft(request.acting, token)
    page = module_page(draft, number_in(request, "sheet") or 1)
    context = {
        "page": page,
        "causes": True,
        "parts": PART_TITLES,
        "problems": placed(problems_of(draft, page.content)),
    }
    return render(request, "curriculum/draft_preview.html", context)


def _to_part(request: ActingRequest, draft: ModuleVersion, part: str) -> HttpResponse:
    slug = request.acting.academy.slug
    return redirect("curriculum:draft-edit", academy=slug, token=draft.token, part=part)
