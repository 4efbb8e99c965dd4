"""The fields of strand checks, up to three in one session form: `c1_zone`, `c1_minute`, …"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms

from academy.practice.models import StrandCheck
from academy.practice.sitting import LATEST_CHECK, LONGEST_NOTE, MOST_CHECKS, Check
from academy.practice.timing import PROCESSES
from academy.practice.widgets import RadioChips
from academy.web.forms import UnitField
from academy.web.words import ZONE_WORDS

if TYPE_CHECKING:
    from collections.abc import Mapping

NUMBERS = range(1, MOST_CHECKS + 1)
YES_NO = [("yes", "yes"), ("no", "no")]
LOOKED = [*YES_NO, ("none", "not looked at")]
NEEDED = {
    "zone": "Say where you looked, for example nape.",
    "minute": "Say when: minutes since the end of application, for example 25 min.",
    "wiped": "Say whether the strand was wiped clean.",
    "last_place": "Say whether it was near the place applied last.",
    "seen": "Say what you saw.",
    "decision": "Say what you decided.",
}
MORE = ("stretches_back", "skin_calm", "past_ceiling", "note")


def process_field() -> forms.ChoiceField:
    """What was on the hair; its ceiling depends on it."""
    return forms.ChoiceField(
        label="On the hair",
        required=False,
        choices=[("", "Choose one"), *PROCESSES.items()],
        help_text="Needed with a strand check: the ceiling depends on it.",
    )


def check_fields() -> dict[str, forms.Field]:
    return {f"c{n}_{name}": field for n in NUMBERS for name, field in _fields().items()}


def _fields() -> dict[str, forms.Field]:
    return {
        "zone": forms.ChoiceField(
            label="Zone", required=False, choices=[("", "Choose one"), *ZONE_WORDS.items()]
        ),
        "minute": UnitField(
            "min",
            label="Minutes since the end of application",
            required=False,
            places=0,
            min_value=0,
            max_value=LATEST_CHECK,
            example="25 min",
        ),
        "wiped": _one_of("Wiped clean?", YES_NO),
        "last_place": _one_of("Near the place applied last?", YES_NO),
        "seen": _one_of("What you saw", StrandCheck.Seen.choices),
        "stretches_back": _one_of("Stretches and returns?", LOOKED),
        "skin_calm": _one_of("Skin calm?", LOOKED),
        "decision": _one_of("What you decided", StrandCheck.Decision.choices),
        "past_ceiling": forms.CharField(
            label="Past the ceiling: what happened",
            required=False,
            max_length=LONGEST_NOTE,
            help_text="Only where the ceiling was not kept. Your educator sees it.",
        ),
        "note": forms.CharField(label="Note", required=False, max_length=LONGEST_NOTE),
    }


def _one_of(label: str, choices: list[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, required=False, choices=choices, widget=RadioChips)


def begun(data: Mapping[str, Any], number: int) -> bool:
    """Whether anything was entered for this check."""
    return any(data.get(f"c{number}_{name}") not in (None, "") for name in _fields())


def missing(data: Mapping[str, Any], number: int) -> dict[str, str]:
    """The sentences for what a begun check still needs, by form field."""
    return {
        f"c{number}_{name}": sentence
        for name, sentence in NEEDED.items()
        if data.get(f"c{number}_{name}") in (None, "")
    }


def check_of(data: Mapping[str, Any], number: int) -> Check:
    """The check that a whole set of fields tells."""
    own = {name: data.get(f"c{number}_{name}", "") for name in _fields()}
    return Check(
        zone=own["zone"],
        minute=int(own["minute"]),
        wiped=own["wiped"] == "yes",
        last_place=own["last_place"] == "yes",
        seen=own["seen"],
        decision=own["decision"],
        stretches_back=_looked(own["stretches_back"]),
        skin_calm=_looked(own["skin_calm"]),
        note=own["note"],
        past_ceiling=own["past_ceiling"],
    )


def _looked(word: str) -> bool | None:
    return {"yes": True, "no": False}.get(word)
