"""What htmx gets when nobody is signed in any more: the whole page goes to the sign-in."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpResponse
from django.shortcuts import resolve_url

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http import HttpRequest


class SignedOutMiddleware:
    """Turns the redirect to the sign-in into one that htmx follows with the whole page.

    A browser follows a redirect by itself, so htmx would put the sign-in page into the place of
    one line. Afterwards the person is back on the page they were on.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        asked_by_htmx = request.headers.get("HX-Request") == "true"
        if not asked_by_htmx or not _leads_to_sign_in(answer):
            return answer
        page = urlsplit(request.headers.get("HX-Current-URL", ""))
        back = page.path + (f"?{page.query}" if page.query else "")
        to = redirect_to_login(back or "/").headers["Location"]
        return HttpResponse(status=204, headers={"HX-Redirect": to})


def _leads_to_sign_in(answer: HttpResponse) -> bool:
    there = urlsplit(answer.headers.get("Location", "")).path
    return answer.status_code == 302 and there == resolve_url(settings.LOGIN_URL)
