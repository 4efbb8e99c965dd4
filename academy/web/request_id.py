"""One id for everything that a click sets off: on the response, in the log, in the record."""

from __future__ import annotations

import logging
import secrets
from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from django.http import HttpRequest, HttpResponse

_current: ContextVar[str] = ContextVar("request_id", default="")


def current_request_id() -> str:
    """The id of the request being answered, or an empty string outside one."""
    return _current.get()


class RequestIdMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request_id = secrets.token_hex(8)
        before = _current.set(request_id)
        request.request_id = request_id  # type: ignore[attr-defined]
        try:
            response = self.get_response(request)
        finally:
            _current.reset(before)
        response["X-Request-ID"] = request_id
        return response


class RequestIdFilter(logging.Filter):
    """Gives every log record the request's id."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = current_request_id() or "-"
        return True
