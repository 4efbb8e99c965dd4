"""Proving again who one is, right before a signature: by password, or by a passkey just used."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from allauth.account.authentication import get_authentication_records

if TYPE_CHECKING:
    from django.http import HttpRequest

PASSKEY_SECONDS = 180


def signed_with(request: HttpRequest, password: str) -> str:
    """The word "password" or "passkey" for what proves the person now; empty for neither."""
    person = request.user
    if not person.is_authenticated:
        return ""
    if password and person.check_password(password):
        return "password"
    since = time.time() - PASSKEY_SECONDS
    for record in get_authentication_records(request, person):
        again = record.get("type") == "webauthn" and record.get("reauthenticated")
        if again and record.get("at", 0) >= since:
            return "passkey"
    return ""
