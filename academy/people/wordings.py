"""What people agree to, in every edition. A text that was shown is never changed: add a number."""

from __future__ import annotations

from typing import Final

from academy.people.models import Consent

Purpose = Consent.Purpose

TEXTS: Final[dict[str, dict[int, str]]] = {
    Purpose.PRIVACY_NOTICE: {
        1: (
            "Your academy keeps your name, your e-mail address, your practice log, your papers and "
            "the assessments of your work, to teach you and to prove what you can do. Educators, "
            "assessors, verifiers and managers see them; nobody else does, but whoever you show a "
            "certificate to. Your manager tells you how long they are kept, gives you a copy and "
            "puts right what is wrong."
        ),
    },
    Purpose.NAME_ON_CHECK_PAGE: {
        1: (
            "Whoever scans one of your certificates sees your full name on the check page. Without "
            "this they see your initials. You can change it at any time, and it counts at once."
        ),
    },
}


def current_wording(purpose: str) -> int:
    """The number of the edition that is shown today."""
    return max(TEXTS[purpose])


def wording_text(purpose: str, version: int | None = None) -> str:
    return TEXTS[purpose][version or current_wording(purpose)]
