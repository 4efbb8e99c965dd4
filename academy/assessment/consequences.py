"""What an overturned sign-off sets off above this app, in the same transaction.

This app knows nothing of certificates; the app above adds its consequence at start-up.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from academy.assessment.models import SignOff, Verification

Consequence = Callable[["SignOff", "Verification"], None]

_of_overturning: list[Consequence] = []


def on_overturned(consequence: Consequence) -> None:
    """Have this called, inside the transaction, whenever a sign-off is overturned."""
    if consequence not in _of_overturning:
        _of_overturning.append(consequence)


def overturned(sign_off: SignOff, verification: Verification) -> None:
    for consequence in _of_overturning:
        consequence(sign_off, verification)
