"""The one table of states: which symbol and which word stand for each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from django.utils.functional import Promise


@dataclass(frozen=True)
class Mark:
    """A symbol of the sprite (`#m-<symbol>`), its short word, and its words in a legend."""

    symbol: str
    word: str | Promise
    long: str | Promise = ""

    def spelt(self, *, long: bool) -> str:
        return str(self.long or self.word) if long else str(self.word)


MARKS: dict[str, Mark] = {
    # a module, stroke by stroke
    "none": Mark("none", _("not started")),
    "practising": Mark("practising", _("practising")),
    "ready": Mark("ready", _("ready"), _("ready for assessment")),
    "heads": Mark("sign", _("heads done"), _("heads done, sign-off still waits")),
    "verify": Mark("verify", _("verify"), _("needs verification")),
    "competent": Mark("competent", _("competent")),
    "expired": Mark("expired", _("expired")),
    # an outcome
    "notyet": Mark("notyet", _("not yet")),
    "second": Mark("second", _("second look"), _("second assessor needed")),
    "sign": Mark("sign", _("to sign"), _("ready for sign-off")),
    # a certificate
    "valid": Mark("valid", _("valid")),
    "withdrawn": Mark("withdrawn", _("withdrawn")),
    "lapsed": Mark("lapsed", _("lapsed")),
    "replaced": Mark("replaced", _("replaced")),
    "suspended": Mark("suspended", _("suspended")),
    # a line of an answer
    "right": Mark("right", _("right")),
    "follow": Mark("follow", _("follow-through"), _("right on your own earlier figure")),
    "wrong": Mark("wrong", _("wrong")),
    "missing": Mark("missing", _("missing")),
}

# Symbols that only ever stand beside words of their own: in a button, a field note, a heading.
BESIDE_WORDS = {"reads", "stop", "go", "back", "info"}
GLYPHS = frozenset(BESIDE_WORDS | {mark.symbol for mark in MARKS.values()})


def mark_of(state: Any) -> Mark:
    """The mark of a state, given as its name or as an enum member; an unknown one is a mistake."""
    return MARKS[str(getattr(state, "value", state))]
