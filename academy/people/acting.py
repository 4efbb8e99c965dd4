"""Who acts, in which academy, in which role.

The academy stands in the address (`/<academy>/…`). A person may hold several roles; the one they
chose last is kept in the session and used where the page allows it, else the first role that does.
Outsiders get 404: they are not told that the academy or the row exists. The right person in the
wrong role gets 403.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec
from zoneinfo import ZoneInfo

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject

from academy.people.demo import one_of_each_role
from academy.people.models import Academy, Person, Role, held_roles_of

if TYPE_CHECKING:
    from django_htmx.middleware import HtmxDetails

P = ParamSpec("P")


@dataclass(frozen=True)
class Acting:
    """The person behind a request, in one academy and one of the roles they hold there."""

    academy: Academy
    person: Person
    role: Role
    roles: tuple[Role, ...]

    @property
    def others(self) -> tuple[Role, ...]:
        """The roles they could act in instead; no query."""
        return tuple(role for role in self.roles if role != self.role)

    def holds(self, *roles: Role) -> bool:
        return bool(set(roles) & set(self.roles))


class ActingRequest(HttpRequest):
    """A request that went through `@acting`."""

    acting: Acting
    htmx: HtmxDetails
    user: Person
    request_id: str


class ActingMiddleware:
    """Makes `request.acting` exist (None) on every request, so that templates may ask."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.acting = None  # type: ignore[attr-defined]
        return self.get_response(request)


def session_key(academy: Academy) -> str:
    return f"acting_role_{academy.pk}"


def resolve(request: HttpRequest, slug: str, allowed: tuple[Role, ...]) -> Acting:
    """The acting person, or 404 for outsiders and 403 for a role that may not."""
    person = request.user
    if not isinstance(person, Person):
        raise Http404
    academy = Academy.objects.filter(slug=slug).first()
    today = timezone.localdate(timezone=ZoneInfo(academy.time_zone)) if academy else None
    roles = held_roles_of(person, academy, on=today) if academy else ()
    if academy is None or not roles:
        raise Http404
    fitting = [role for role in roles if not allowed or role in allowed]
    if not fitting:
        raise PermissionDenied
    chosen = request.session.get(session_key(academy))
    role = next((role for role in fitting if role.value == chosen), fitting[0])
    return Acting(academy, person, role, roles)


View = Callable[Concatenate[Any, P], HttpResponseBase]


def acting(*allowed: Role) -> Callable[[View[P]], Callable[..., HttpResponseBase]]:
    """Gate of a view under `/<academy>/`: only members, only these roles (none named: any).

    Takes `academy` out of the view's arguments and puts `request.acting` in its place. While the
    view runs, days and times are those of the academy's time zone.
    """

    def gate(view: View[P]) -> Callable[..., HttpResponseBase]:
        @wraps(view)
        def gated(request: Any, *args: Any, academy: str, **kwargs: Any) -> HttpResponseBase:
            request.acting = resolve(request, academy, allowed)
            with timezone.override(request.acting.academy.time_zone):
                return view(request, *args, **kwargs)

        gated.allowed_roles = allowed or tuple(Role)  # type: ignore[attr-defined]
        return gated

    return gate


def context(request: HttpRequest) -> dict[str, Any]:
    """`acting` for every template; None on pages outside an academy.

    `demo_people` is looked up only where a page asks for it, and empty unless this is the demo.
    """
    return {
        "acting": getattr(request, "acting", None),
        "demo_people": SimpleLazyObject(one_of_each_role),
        "demo_url": reverse("people:demo"),
    }
