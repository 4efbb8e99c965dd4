"""Light or dark page: the colour room's choice, kept in a cookie of this device, tied to nobody."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

COOKIE = "theme"
THEMES = ("light", "dark")
YEAR = 365 * 24 * 3600


def context(request: HttpRequest) -> dict[str, str]:
    """`theme` for every template."""
    chosen = request.COOKIES.get(COOKIE, "")
    return {"theme": chosen if chosen in THEMES else THEMES[0]}


@login_not_required
@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Keep the choice and go back to the page it was made on."""
    back = request.POST.get("next", "")
    here = url_has_allowed_host_and_scheme(
        back, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    response = HttpResponseRedirect(back if here else "/")
    theme = request.POST.get("theme", "")
    if theme in THEMES:
        secure = request.is_secure()
        response.set_cookie(COOKIE, theme, YEAR, secure=secure, httponly=True, samesite="Lax")
    return response
