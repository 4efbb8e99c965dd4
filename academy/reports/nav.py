"""The rooms each role goes to, for the bar at the top of every page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.urls import reverse

from academy.people.models import Role

if TYPE_CHECKING:
    from django.http import HttpRequest

    from academy.people.acting import Acting

# Word and url name, in the order of a role's day.
ROOMS: dict[Role, tuple[tuple[str, str], ...]] = {
    Role.APPRENTICE: (
        ("Today", "reports:today"),
        ("Modules", "curriculum:module-list"),
        ("Exercises", "exercises:paper-list"),
        ("Practice", "practice:session-list"),
        ("Results", "assessment:result-list"),
    ),
    Role.ASSESSOR: (
        ("Today", "reports:today"),
        ("Score", "assessment:assessment-list"),
        ("Sign off", "assessment:signoff-list"),
        ("Exercises", "exercises:paper-list"),
        ("Practice", "practice:session-list"),
        ("Modules", "curriculum:module-list"),
    ),
    Role.EDUCATOR: (
        ("Cohort", "reports:today"),
        ("Modules", "curriculum:module-list"),
        ("Exercises", "exercises:paper-list"),
        ("Practice", "practice:session-list"),
        ("Assessments", "assessment:assessment-list"),
    ),
    Role.VERIFIER: (
        ("Today", "reports:today"),
        ("Decisions", "assessment:verification-list"),
        ("Modules", "curriculum:module-list"),
        ("Record", "reports:record"),
    ),
    Role.MANAGER: (
        ("Today", "reports:today"),
        ("Decisions", "assessment:verification-list"),
        ("People", "people:member-list"),
        ("Cohorts", "people:cohort-list"),
        ("Certificates", "awards:certificate-list"),
        ("Record", "reports:record"),
    ),
}

# What lies in a room besides the pages under its own address; parts of addresses.
ALSO = {
    "assessment:verification-list": "assessment/",
    "assessment:signoff-list": "assessment/sign/",
}


@dataclass(frozen=True)
class Room:
    label: str
    url: str
    current: bool


def rooms(acting: Acting, path: str) -> list[Room]:
    """The acting role's rooms; the one that the address lies deepest in is the current one."""
    slug = {"academy": acting.academy.slug}
    home = reverse("reports:today", kwargs=slug)
    found = [(label, reverse(name, kwargs=slug), name) for label, name in ROOMS[acting.role]]
    starts = {url: url for _, url, _ in found}
    starts |= {home + ALSO[name]: url for _, url, name in found if name in ALSO}
    deepest = max((start for start in starts if path.startswith(start)), key=len, default="")
    return [Room(label, url, url == starts.get(deepest)) for label, url, _ in found]


def context(request: HttpRequest) -> dict[str, Any]:
    acting = getattr(request, "acting", None)
    return {"nav": rooms(acting, request.path) if acting else []}
