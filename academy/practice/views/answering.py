"""The supervisor's answer, and taking a session back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponseRedirect, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from academy.people.acting import ActingRequest, acting
from academy.people.models import Role
from academy.practice import rules
from academy.practice.errors import PracticeError
from academy.practice.forms.answer import AnswerForm
from academy.practice.models import PracticeSession
from academy.practice.pages import detail_page
from academy.practice.services import confirm_session, confirm_sessions, take_back_session
from academy.practice.views.common import one_seen_by, seen_by, staff_filter, staff_title

if TYPE_CHECKING:
    from django.http import HttpResponse

MOST_AT_ONCE = 40


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.EDUCATOR, Role.ASSESSOR)
def session_confirm(request: ActingRequest, token: str) -> HttpResponse:
    who = request.acting
    session = one_seen_by(who, token)
    if not rules.is_supervisor(who.person, session):
        raise PermissionDenied
    posted = request.POST if request.method == "POST" else None
    form = AnswerForm(posted, academy=who.academy, supervisor=who.person)
    done = form.is_valid() and _answered(request, session, form)
    if request.htmx:
        context = {"session": session, "form": form, **_title_now(request)}
        return render(request, "practice/parts/answered_row.html", context)
    if done:
        return redirect("practice:session-detail", who.academy.slug, session.token)
    return render(request, "practice/session_detail.html", detail_page(who, session, form=form))


@require_POST
@acting(Role.EDUCATOR, Role.ASSESSOR)
def sessions_confirm(request: ActingRequest) -> HttpResponse:
    who = request.acting
    tokens = set(request.POST.getlist("session")[:MOST_AT_ONCE])
    visible = PracticeSession.objects.visible_to(who.person, who.academy)
    sessions = list(visible.filter(token__in=tokens))
    try:
        count = confirm_sessions(sessions=sessions, supervisor=who.person)
    except PracticeError as refused:
        messages.error(request, f"Nothing was confirmed. {refused.message}")
    else:
        messages.success(request, _confirmed_words(count))
    address = reverse("practice:session-list", kwargs={"academy": who.academy.slug})
    return HttpResponseRedirect(f"{address}?waiting=me")


@require_http_methods(["GET", "HEAD", "POST"])
@acting(Role.APPRENTICE)
def session_take_back(request: ActingRequest, token: str) -> HttpResponse:
    who = request.acting
    own = PracticeSession.objects.visible_to(who.person, who.academy).filter(apprentice=who.person)
    session = get_object_or_404(own.for_list(), token=token)
    refusal = ""
    if request.method == "POST":
        try:
            take_back_session(session=session, apprentice=who.person)
        except PracticeError as refused:
            refusal = refused.message
        else:
            messages.success(request, "Taken back. It stays readable and no longer counts.")
            return redirect("practice:session-detail", who.academy.slug, session.token)
    context = {
        "session": session,
        "refusal": refusal,
        "may": rules.may_take_back(who.person, session, timezone.now()),
    }
    return render(request, "practice/session_take_back.html", context)


def _answered(request: ActingRequest, session: PracticeSession, form: AnswerForm) -> bool:
    """Whether the answer was kept; where it was refused the form says why."""
    try:
        confirm_session(
            session=session,
            supervisor=request.acting.person,
            confirmed=form.confirmed,
            note=form.cleaned_data["note"],
        )
    except PracticeError as refused:
        form.refuse(refused)
        return False
    if not request.htmx:
        word = "Confirmed." if form.confirmed else "Kept: it was different."
        messages.success(request, f"{word} {session.apprentice.name} sees it in the log.")
    return True


def _title_now(request: ActingRequest) -> dict[str, Any]:
    """The title block of the list that the answer is put into, counted anew."""
    sessions = seen_by(request.acting)
    shown = QueryDict(urlsplit(request.htmx.current_url or "").query)
    return staff_title(request.acting, sessions, staff_filter(request.acting, sessions, shown))


def _confirmed_words(count: int) -> str:
    if not count:
        return "Nothing was ticked, so nothing was confirmed."
    return "Confirmed. One session." if count == 1 else f"Confirmed. {count} sessions."
