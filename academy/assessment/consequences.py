"""What an overturned sign-off sets off, in the same transaction, and how that is told before.

What decides here knows nothing of certificates; the app above adds its consequence at start-up.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from academy.assessment.models import SignOff, Verification

Consequence = Callable[["SignOff", "Verification"], None]
Foretold = Callable[["SignOff"], list[str]]

_of_overturning: list[Consequence] = []
_foretold: list[Foretold] = []


def on_overturned(consequence: Consequence, *, foretold: Foretold) -> None:
    """Have this called, inside the transaction, whenever a sign-off is overturned.

    `foretold` names what it would do, in sentences, for the verifier to read before.
    """
    if consequence not in _of_overturning:
        _of_overturning.append(consequence)
        _foretold.append(foretold)


def overturned(sign_off: SignOff, verification: Verification) -> None:
    for consequence in _of_overturning:
        consequence(sign_off, verification)


def of_overturning(sign_off: SignOff) -> list[str]:
    """What would happen if this one were overturned, in sentences; nothing is done."""
    heads = "The heads it rests on are evidence no more, and the module has to be signed anew."
    return [heads, *(sentence for told in _foretold for sentence in told(sign_off))]
