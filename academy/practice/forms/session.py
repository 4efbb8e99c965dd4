"""The form of one sitting."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from django import forms
from django.utils import timezone

from academy.curriculum.models import ProductLabel
from academy.people.models import Membership, Person, Role
from academy.practice.forms import checks, units
from academy.practice.models import PracticeSession
from academy.practice.names import names_in
from academy.practice.sitting import LONGEST_TEXT, MOST_MINUTES, Sitting, refusal_of_start
from academy.practice.targets import Done
from academy.web.forms import (
    BlockworkForm,
    MomentField,
    TokenField,
    UnitField,
    ZonesField,
    speak_plainly,
)
from academy.web.widgets import Chips

if TYPE_CHECKING:
    from django.db.models import QuerySet

    from academy.curriculum.models import ModuleVersion
    from academy.people.models import Academy
    from academy.web.refused import Refused

NOBODY = "nobody"


class CheckGroup(NamedTuple):
    """The fields of one strand check: what a check needs, what may be added, shown open or not."""

    number: int
    needed: list[forms.BoundField]
    more: list[forms.BoundField]
    open: bool


class EditionField(forms.CharField):
    """The edition a page was made for; a page of another edition shows itself again, renewed."""

    widget = forms.HiddenInput

    def bound_data(self, data: Any, initial: Any) -> Any:  # noqa: ARG002
        return initial


class SessionForm(BlockworkForm):
    """One sitting on a block in one edition of a module."""

    deed = "can be logged"

    started_at = MomentField(label="When you began", initial=timezone.now)
    minutes = UnitField(
        "min",
        label="How long",
        places=0,
        min_value=1,
        max_value=MOST_MINUTES,
        example="50 min",
    )
    zones = ZonesField(label="Zones worked on", required=False)
    criteria = forms.MultipleChoiceField(label="Criteria worked on", required=False, widget=Chips)
    supervisor = forms.ChoiceField(
        label="Who stood beside you", help_text="They are asked to confirm this session."
    )
    went_well = forms.CharField(
        label="What went well",
        required=False,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    to_change = forms.CharField(
        label="What to change next time",
        required=False,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    names_ok = forms.BooleanField(label="Save it with the name", required=False)
    edition = EditionField()
    key = TokenField()

    def __init__(
        self,
        *args: Any,
        version: ModuleVersion,
        academy: Academy,
        apprentice: Person,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.version, self.academy, self.apprentice = version, academy, apprentice
        self.kinds = units.kinds_of(version.targets.all())
        self.fields.update(units.unit_fields(self.kinds))
        self.fields["process"] = checks.process_field()
        self.fields["label"] = forms.ModelChoiceField(
            ProductLabel.objects.filter(academy=academy),
            label="Product label",
            required=False,
            to_field_name="token",
            empty_label="None, the house rule decides",
        )
        self.fields.update(checks.check_fields())
        self.fields["edition"].initial = version.token
        for field in self.fields.values():
            speak_plainly(field)
        self._offer()
        self._say_whole_minutes()

    def _offer(self) -> None:
        criteria = [(c.code, f"{c.code} {c.title}") for c in self.version.criteria.all()]
        self.fields["criteria"].choices = criteria  # type: ignore[attr-defined]
        self.supervisors = {person.token: person for person in self._supervisors()}
        self.fields["supervisor"].choices = [  # type: ignore[attr-defined]
            ("", "Choose one"),
            *((token, person.name) for token, person in self.supervisors.items()),
            (NOBODY, "Nobody stood beside me"),
        ]

    def _supervisors(self) -> QuerySet[Person]:
        """Educators and assessors of the academy, without the apprentice. One query."""
        members = Membership.objects.current().filter(
            academy=self.academy, role__in=[Role.EDUCATOR, Role.ASSESSOR]
        )
        people = Person.objects.filter(memberships__in=members).exclude(pk=self.apprentice.pk)
        return people.distinct().order_by("name")

    def _say_whole_minutes(self) -> None:
        for name in ("minutes", *(f"c{n}_minute" for n in checks.NUMBERS)):
            self.fields[name].error_messages["places"] = "Whole minutes only, for example 50 min."

    # What the page shows in groups.

    @property
    def unit_rows(self) -> list[forms.BoundField]:
        return [self[f"u{n}"] for n in range(len(self.kinds))]

    @property
    def check_groups(self) -> list[CheckGroup]:
        return [
            CheckGroup(
                number=n,
                needed=[self[f"c{n}_{name}"] for name in checks.NEEDED],
                more=[self[f"c{n}_{name}"] for name in checks.MORE],
                open=self._open(n),
            )
            for n in checks.NUMBERS
        ]

    def _open(self, number: int) -> bool:
        return self.is_bound and any(
            self.data.get(name) for name in self.fields if name.startswith(f"c{number}_")
        )

    @property
    def chosen_zones(self) -> list[str]:
        return list(self["zones"].value() or [])

    @property
    def asks_about_names(self) -> bool:
        return "names_ok" in self.errors or bool(self.is_bound and self.data.get("names_ok"))

    # What was entered.

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("edition") != self.version.token:
            self.add_error(
                None,
                "This module has had a new edition since you opened the page. Look at the "
                "counts and criteria again, then log it.",
            )
        self._check_start(data)
        self._check_units(data)
        self._check_strands(data)
        self._check_twin(data)
        self._check_names(data)
        return data

    def _check_start(self, data: dict[str, Any]) -> None:
        started_at = data.get("started_at")
        refusal = refusal_of_start(started_at, timezone.now()) if started_at else ""
        if refusal:
            self.add_error("started_at", refusal)

    def _check_units(self, data: dict[str, Any]) -> None:
        names = [f"u{n}" for n in range(len(self.kinds))]
        if not any(name in self.errors or data.get(name) for name in names):
            word = self.kinds[0][0].value
            self.add_error(names[0], f"Say how much you did, for example 2 {word}.")

    def _check_strands(self, data: dict[str, Any]) -> None:
        for number in self._begun(data):
            for name, sentence in checks.missing(data, number).items():
                if name not in self.errors:
                    self.add_error(name, sentence)
        if self._begun(data) and not data.get("process") and "process" not in self.errors:
            self.add_error("process", "Say what was on the hair. The ceiling depends on it.")

    def _begun(self, data: dict[str, Any]) -> list[int]:
        return [number for number in checks.NUMBERS if checks.begun(data, number)]

    def _check_twin(self, data: dict[str, Any]) -> None:
        """The same beginning again is the same sitting, sent once more from another page."""
        if not data.get("started_at"):
            return
        twin = PracticeSession.objects.counted().filter(
            apprentice=self.apprentice,
            module_version__module=self.version.module_id,
            started_at=data["started_at"],
        )
        if twin.exclude(client_key=data.get("key", "")).exists():
            self.add_error(
                "started_at",
                "You have logged a session of this module that began at this minute. Give "
                "another time, or open it in your log.",
            )

    def _check_names(self, data: dict[str, Any]) -> None:
        told = ("went_well", "to_change", *(n for n in self.fields if n.endswith("_note")))
        texts = [data.get(name) or "" for name in (*told, *_events(self))]
        found = names_in(texts, self.academy, writer=self.apprentice)
        if found and not data.get("names_ok"):
            words = ", ".join(f"“{name}”" for name in found)
            self.add_error(
                "names_ok",
                f"{words} may be the name of somebody here, and others read this. Say “my "
                "educator” or “a colleague” instead, or tick this to keep the name.",
            )

    @property
    def stood_beside(self) -> Person | None:
        return self.supervisors.get(self.cleaned_data["supervisor"])

    def sitting(self) -> Sitting:
        data = self.cleaned_data
        counts = [(kind, int(data[f"u{n}"] or 0)) for n, kind in enumerate(self.kinds)]
        return Sitting(
            started_at=data["started_at"],
            minutes=int(data["minutes"]),
            units=[Done(unit, count, tag) for (unit, tag), count in counts if count],
            zones=data["zones"],
            criteria=data["criteria"],
            went_well=data["went_well"],
            to_change=data["to_change"],
            checks=[checks.check_of(data, number) for number in self._begun(data)],
            process=data["process"],
        )

    def refuse(self, refused: Refused) -> None:
        if refused.field == "units":
            self.add_error("u0", refused.message)
        else:
            super().refuse(refused)


def _events(form: SessionForm) -> list[str]:
    return [name for name in form.fields if name.endswith("_past_ceiling")]
