"""Pages behind the sign-in are kept by no browser, so that a shared tablet shows nobody else's."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http import HttpRequest, HttpResponse


class NotKeptMiddleware:
    """`Cache-Control: private, no-store` on every answer to somebody who is signed in.

    Without it the back button shows the last page after signing out. Files with a policy of their
    own keep it.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if request.user.is_authenticated and not answer.has_header("Cache-Control"):
            answer["Cache-Control"] = "private, no-store"
        return answer
