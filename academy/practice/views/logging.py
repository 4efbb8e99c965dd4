"""Logging a session: which module, then the form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from academy.curriculum.models import Module
from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.practice import log, queries
from academy.practice.errors import PracticeError
from academy.practice.forms.session import SessionForm
from academy.practice.pages import form_page
from academy.practice.services import log_session

if TYPE_CHECKING:
    from django.http import HttpResponse

    from academy.curriculum.models import ModuleVersion
    from academy.practice.models import PracticeSession


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.APPRENTICE)
def session_new(request: ActingRequest) -> HttpResponse:
    token = request.GET.get("module", "")
    if not token:
        return _choose(request)
    who = request.acting
    version = _edition(request, token)
    posted = request.POST if request.method == "POST" else None
    form = SessionForm(posted, version=version, academy=who.academy, apprentice=who.person)
    if form.is_valid():
        session = _logged(request, form)
        if session is not None:
            return redirect("practice:session-detail", who.academy.slug, session.token)
    return render(request, "practice/session_new.html", form_page(who, version, form))


def _edition(request: ActingRequest, token: str) -> ModuleVersion:
    """The edition that the acting apprentice practises: the one begun, else the published one."""
    module = get_object_or_404(Module, academy=request.acting.academy, token=token)
    version = queries.version_begun(request.acting.person, module)
    if version is None:
        raise Http404
    return version


def _logged(request: ActingRequest, form: SessionForm) -> PracticeSession | None:
    """The session, with word of it; None where the service refused and the form says why."""
    now = timezone.now()
    try:
        session = log_session(
            academy=request.acting.academy,
            apprentice=request.acting.person,
            version=form.version,
            sitting=form.sitting(),
            client_key=form.cleaned_data["key"],
            supervisor=form.stood_beside,
            label=form.cleaned_data["label"],
        )
    except PracticeError as refused:
        form.refuse(refused)
        return None
    if session.logged_at < now:
        messages.info(request, "This was logged already. Nothing was added.")
    else:
        words = ", ".join(done.words for done in session.units.all())
        messages.success(request, f"Logged. {words}, {session.minutes} min.")
    return session


def _choose(request: ActingRequest) -> HttpResponse:
    """Modules to practise: the begun ones first, then the others, narrowed by a word."""
    who = request.acting
    word = request.GET.get("q", "").strip()[:80]
    begun = log.modules_so_far(who.person, who.academy)
    keys = {row.version.module_id for row in begun}
    others = queries.practisable(who.academy).exclude(module__in=keys)
    if word:
        begun = [row for row in begun if word.casefold() in row.version.title.casefold()]
        others = others.filter(title__icontains=word)
    rows = [(version, queries.target_words(version)) for version in others]
    context = {"begun": begun, "others": rows, "word": word}
    return render(request, "practice/session_choose.html", context)
