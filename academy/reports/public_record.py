"""The record from outside: its signed checkpoints, for anyone, without sign-in.

Nothing here is personal: sizes, roots, signatures, public keys. Whoever has a certificate, or kept
a checkpoint, sees here whether the record still holds what it held then.
"""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from academy.audit.checking import found_broken, last_held
from academy.audit.checkpoints import tree_at
from academy.audit.models import Checkpoint, SigningKey
from academy.people.models import Academy
from academy.web.forms import BlockworkForm

if TYPE_CHECKING:
    from django.http import HttpRequest

FEWEST_DIGITS = 16


class PaperForm(BlockworkForm):
    """The size and the root as they stand on a paper."""

    deed = "can be looked up"
    size = forms.IntegerField(
        min_value=1, label="Entries", help_text="The number before the word “entries”."
    )
    root = forms.CharField(
        max_length=120,
        label="Root",
        help_text=f"At least its first {FEWEST_DIGITS} digits; spaces do not matter.",
    )

    def clean_root(self) -> str:
        root = re.sub(r"\s", "", self.cleaned_data["root"]).lower()
        if not re.fullmatch(rf"[0-9a-f]{{{FEWEST_DIGITS},64}}", root):
            raise forms.ValidationError(
                f"Type at least {FEWEST_DIGITS} digits of the root: figures, and letters from "
                "a to f, for example 09af 55c2 …"
            )
        return root


@login_not_required
@require_safe
def record(request: HttpRequest, slug: str) -> HttpResponse:
    """The newest checkpoint, and whether what stands on a paper is in this record."""
    found = _academy(slug)
    rows = Checkpoint.objects.of(found.pk)
    form = PaperForm(request.GET if "size" in request.GET else None)
    context: dict[str, Any] = {"academy": found, "newest": rows.last(), "form": form}
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        same = rows.filter(size=data["size"])
        match = next((row for row in same if row.root_hex.startswith(data["root"])), None)
        context |= {"asked": data, "match": match, "good": bool(match and match.holds)}
    context["held"] = last_held(found.pk)
    context["broken"] = found_broken(found.pk)
    with timezone.override(found.time_zone):
        return _quiet(render(request, "reports/public_record.html", context))


@login_not_required
@require_safe
def checkpoints(_request: HttpRequest, slug: str) -> HttpResponse:
    """Every checkpoint and every key, to be kept elsewhere."""
    found = _academy(slug)
    rows = Checkpoint.objects.of(found.pk)
    return _json(
        {
            "checkpoints": [
                {
                    "statement": json.loads(bytes(row.statement)),
                    "signature": bytes(row.signature).hex(),
                }
                for row in rows
            ],
            "keys": [
                {
                    "key": key.key,
                    "public": bytes(key.public).hex(),
                    "made_at": key.made_at.isoformat(),
                    "follows": key.follows.key if key.follows else None,
                    "endorsement": bytes(key.endorsement).hex(),
                }
                for key in SigningKey.objects.select_related("follows")
            ],
        }
    )


@login_not_required
@require_safe
def statement(_request: HttpRequest, slug: str, size: int) -> HttpResponse:
    """The bytes that were signed, as a file."""
    row = _checkpoint(slug, size)
    return _file(bytes(row.statement), f"checkpoint-{size}.json", "application/json")


@login_not_required
@require_safe
def signature(_request: HttpRequest, slug: str, size: int) -> HttpResponse:
    """The signature of 64 bytes, as a file."""
    row = _checkpoint(slug, size)
    return _file(bytes(row.signature), f"checkpoint-{size}.sig", "application/octet-stream")


@login_not_required
@require_safe
def public_key(_request: HttpRequest, key: str) -> HttpResponse:
    """A public key as the file that OpenSSL reads."""
    row = get_object_or_404(SigningKey, key=key)
    return _file(row.pem.encode(), f"key-{row.key}.pem", "application/x-pem-file")


@login_not_required
@require_safe
def consistency(_request: HttpRequest, slug: str, old: int, new: int) -> HttpResponse:
    """The proof (RFC 9162, 2.1.4) that the later of two checkpoints only added to the earlier."""
    earlier, later = _checkpoint(slug, old), _checkpoint(slug, new)
    if old > new:
        raise Http404
    proof = tree_at(later.academy_id, later.size).consistency(earlier.size)
    return _json(
        {
            "old_size": earlier.size,
            "old_root": earlier.root_hex,
            "new_size": later.size,
            "new_root": later.root_hex,
            "proof": [step.hex() for step in proof],
        }
    )


def _academy(slug: str) -> Academy:
    return get_object_or_404(Academy, slug=slug)


def _checkpoint(slug: str, size: int) -> Checkpoint:
    row = Checkpoint.objects.of(_academy(slug).pk).filter(size=size).last()
    if row is None:
        raise Http404
    return row


def _json(data: dict[str, Any]) -> HttpResponse:
    return _quiet(JsonResponse(data, json_dumps_params={"indent": 1}))


def _file(data: bytes, name: str, kind: str) -> HttpResponse:
    answer = HttpResponse(data, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return _quiet(answer)


def _quiet(response: HttpResponse) -> HttpResponse:
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["Cache-Control"] = "no-store"
    return response
