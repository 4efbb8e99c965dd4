"""Is this certificate genuine and still valid? For anyone, without sign-in.

Never marks, feedback, sign-offs or the reason of a withdrawal. Every code that is none gets the
same words, whatever it looks like, and nobody may try many of them.
"""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

from allauth.account.adapter import get_adapter
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.awards.models import Certificate
from academy.awards.queries import state_of
from academy.awards.state import State, masked
from academy.people.models import Consent
from academy.web.tokens import TOKEN_PATTERN

if TYPE_CHECKING:
    from django.http import HttpRequest, HttpResponse

CHECKS_A_MINUTE = 30
_IN_TEXT = re.compile(rf"(?:^|/)({TOKEN_PATTERN})/?$")


@login_not_required
@require_safe
def ask(request: HttpRequest) -> HttpResponse:
    """Type or paste a code; also takes the whole address."""
    code = request.GET.get("code", "").strip()
    if code:
        found = _IN_TEXT.search(code)
        return redirect("awards_public:check", found[1] if found else code.replace("/", "-")[:40])
    return _quiet(render(request, "awards/public_ask.html"))


@login_not_required
@require_safe
def check(request: HttpRequest, token: str) -> HttpResponse:
    """The verdict first, the explanation after."""
    if _too_many(request):
        return _quiet(render(request, "awards/public_busy.html", status=429))
    certificate = (
        Certificate.objects.filter(token=token)
        .select_related("academy", "holder")
        .prefetch_related("events")
        .first()
    )
    if certificate is None:
        return _quiet(render(request, "awards/public_unknown.html", status=404))
    # A certificate lapses when the day ends where it was issued.
    with timezone.override(certificate.academy.time_zone):
        context = {
            "certificate": certificate,
            "standing": state_of(certificate),
            "holder": shown_name(certificate),
            "newer": _newer(certificate),
            "now": timezone.now(),
        }
        return _quiet(render(request, "awards/public_check.html", context))


def shown_name(certificate: Certificate) -> str:
    """The whole name where the holder agreed to it, else its first letters.

    First letters alone once it is withdrawn, whatever was agreed before.
    """
    if state_of(certificate).state is State.WITHDRAWN:
        return masked(certificate.holder_name)
    agreed = Consent.objects.filter(
        person=certificate.holder,
        purpose=Consent.Purpose.NAME_ON_CHECK_PAGE,
        withdrawn_at__isnull=True,
    ).exists()
    return certificate.holder_name if agreed else masked(certificate.holder_name)


def _newer(certificate: Certificate) -> bool:
    return hasattr(certificate, "replaced_by")


def _too_many(request: HttpRequest) -> bool:
    """More than 30 looks a minute from one place. The address is kept only as a hash, a minute."""
    place = hashlib.sha256(get_adapter(request).get_client_ip(request).encode()).hexdigest()[:24]
    key = f"check-{place}-{timezone.now():%H%M}"
    cache.add(key, 0, 90)
    return cache.incr(key) > CHECKS_A_MINUTE


def _quiet(response: HttpResponse) -> HttpResponse:
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "no-referrer"
    return response
