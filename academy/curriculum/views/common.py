"""Fetching what the acting person may see."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.http import Http404
from django.shortcuts import get_object_or_404

from academy.curriculum.models import Module, ModuleVersion

if TYPE_CHECKING:
    from academy.people.acting import Acting, ActingRequest


def the_module(acting: Acting, token: str) -> Module:
    return get_object_or_404(Module.objects.visible_to(acting.person, acting.academy), token=token)


def the_version(acting: Acting, token: str) -> ModuleVersion:
    visible = ModuleVersion.objects.visible_to(acting.person, acting.academy)
    return get_object_or_404(visible.with_parts(), token=token)


def the_draft(acting: Acting, token: str) -> ModuleVersion:
    """A draft; what was published meanwhile is no draft any more and gives 404."""
    version = the_version(acting, token)
    if version.state != ModuleVersion.State.DRAFT:
        raise Http404
    return version


def number_in(request: ActingRequest, name: str) -> int | None:
    """A whole number of the address, None where it is absent or something else."""
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else None


def posted_number(request: ActingRequest, name: str) -> int:
    """A whole number that the form carried, -1 where it is absent or something else."""
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1
