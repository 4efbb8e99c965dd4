"""One form for each kind of thing a module is made of; each gives the plain value it stands for."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from academy.craft.head.sectioning import PATTERNS
from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    LEVEL_COUNT,
    CriterionContent,
    FaultContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
)
from academy.curriculum.content.limits import LONGEST, LONGEST_LEVEL
from academy.curriculum.content.sheets import SIZES
from academy.curriculum.keeping import MOST_COUNT
from academy.web.forms import BlockworkForm, UnitField
from academy.web.words import LEVEL_WORDS, ZONE_WORDS

SCOPES = [(Scope.ZONES.value, _("in each judged zone")), (Scope.HEAD.value, _("once, whole head"))]
KINDS = [
    (SheetKind.PATTERN.value, _("a pattern of sections")),
    (SheetKind.ZONES.value, _("the zones only")),
]
NOT_SURE = _("To be confirmed by the academy")


def _lines(count: int) -> forms.Textarea:
    return forms.Textarea(attrs={"rows": count})


def _level(level: int) -> forms.CharField:
    """The words of one level of a criterion."""
    return forms.CharField(
        label=format_lazy("{level}, {word}", level=level, word=LEVEL_WORDS[level]),
        max_length=LONGEST_LEVEL,
        required=False,
        widget=_lines(2),
    )


def _size(name: str) -> UnitField:
    """A size of a pattern in mm, within what can be drawn."""
    words, low, high = SIZES[name]
    return UnitField(
        "mm",
        label=words[:1].upper() + words[1:],
        required=False,
        min_value=low,
        max_value=high,
        places=1,
        example="7.5 mm",
    )


class PartForm(BlockworkForm):
    """A row of a draft. A row whose `telling` fields are all empty is dropped when it is saved."""

    telling: ClassVar[tuple[str, ...]] = ()

    @property
    def blank(self) -> bool:
        """Whether nothing was typed that tells anything."""
        return not any(
            str(self.data.get(self.add_prefix(name), "")).strip() for name in self.telling
        )

    @property
    def content(self) -> Any:
        raise NotImplementedError

    @staticmethod
    def initial_of(item: Any) -> dict[str, Any]:
        raise NotImplementedError


class StepForm(PartForm):
    telling = ("head", "text")

    head = forms.CharField(label=_("Head"), max_length=LONGEST[StepContent]["head"])
    text = forms.CharField(
        label=_("What the hands do"),
        max_length=LONGEST[StepContent]["text"],
        required=False,
        widget=_lines(2),
    )
    to_confirm = forms.BooleanField(label=NOT_SURE, required=False)

    @property
    def content(self) -> StepContent:
        return StepContent(**self.cleaned_data)

    @staticmethod
    def initial_of(item: StepContent) -> dict[str, Any]:
        return {"head": item.head, "text": item.text, "to_confirm": item.to_confirm}


class FaultForm(PartForm):
    telling = ("fault", "cause")

    fault = forms.CharField(label=_("What one sees"), max_length=LONGEST[FaultContent]["fault"])
    cause = forms.CharField(
        label=_("Likely cause"), max_length=LONGEST[FaultContent]["cause"], required=False
    )

    @property
    def content(self) -> FaultContent:
        return FaultContent(**self.cleaned_data)

    @staticmethod
    def initial_of(item: FaultContent) -> dict[str, Any]:
        return {"fault": item.fault, "cause": item.cause}


class CriterionForm(PartForm):
    telling = ("code", "title", "must_pass_reason", *(f"level_{n}" for n in range(LEVEL_COUNT)))

    code = forms.CharField(label=_("Code"), max_length=LONGEST[CriterionContent]["code"])
    title = forms.CharField(
        label=_("What is judged"), max_length=LONGEST[CriterionContent]["title"], required=False
    )
    scope = forms.ChoiceField(label=_("Judged"), choices=SCOPES)
    weight = forms.IntegerField(label=_("Weight"), min_value=1, max_value=5, initial=1)
    must_pass = forms.BooleanField(
        label=_("Must-pass: fails the whole head below 3"), required=False
    )
    must_pass_reason = forms.CharField(
        label=_("Reason of the must-pass"),
        max_length=LONGEST[CriterionContent]["must_pass_reason"],
        required=False,
    )
    to_confirm = forms.BooleanField(label=NOT_SURE, required=False)

    level_0 = _level(0)
    level_1 = _level(1)
    level_2 = _level(2)
    level_3 = _level(3)
    level_4 = _level(4)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("must_pass") and not cleaned.get("must_pass_reason"):
            self.add_error(
                "must_pass_reason", _("A must-pass needs its reason: what goes wrong without it?")
            )
        if cleaned.get("must_pass_reason") and not cleaned.get("must_pass"):
            self.add_error(
                "must_pass", _("There is a reason for a must-pass. Tick it, or empty it.")
            )
        return cleaned

    @property
    def content(self) -> CriterionContent:
        given = dict(self.cleaned_data)
        levels = tuple(given.pop(f"level_{n}") for n in range(LEVEL_COUNT))
        return CriterionContent(**{**given, "scope": Scope(given["scope"]), "levels": levels})

    @staticmethod
    def initial_of(item: CriterionContent) -> dict[str, Any]:
        return {
            "code": item.code,
            "title": item.title,
            "scope": item.scope.value,
            "weight": item.weight,
            "must_pass": item.must_pass,
            "must_pass_reason": item.must_pass_reason,
            "to_confirm": item.to_confirm,
            **{f"level_{n}": text for n, text in enumerate(item.levels)},
        }

    @property
    def facts(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if not name.startswith("level_")]

    @property
    def levels(self) -> list[forms.BoundField]:
        return [self[f"level_{n}"] for n in range(LEVEL_COUNT)]


class TargetForm(PartForm):
    telling = ("count", "tag")

    count = forms.IntegerField(label=_("How many"), min_value=1, max_value=MOST_COUNT)
    unit = forms.ChoiceField(
        label=_("Of what"), choices=[(unit.value, unit.value) for unit in PracticeUnit]
    )
    tag = forms.CharField(
        label=_("Only with the tag"), max_length=LONGEST[TargetLine]["tag"], required=False
    )

    @property
    def content(self) -> TargetLine:
        given = self.cleaned_data
        return TargetLine(given["count"], PracticeUnit(given["unit"]), given["tag"])

    @staticmethod
    def initial_of(item: TargetLine) -> dict[str, Any]:
        return {"count": item.count, "unit": item.unit.value, "tag": item.tag}


class SheetForm(PartForm):
    telling = ("kind",)

    kind = forms.ChoiceField(label=_("Drawn"), choices=KINDS)
    pattern = forms.ChoiceField(
        label=_("Pattern"),
        choices=[("", _("none")), *((key, found.words) for key, found in PATTERNS.items())],
        required=False,
    )
    zone = forms.ChoiceField(
        label=_("Zone, for one panel only"),
        choices=[("", _("none")), *ZONE_WORDS.items()],
        required=False,
    )
    drawn = forms.CharField(
        max_length=LONGEST[SheetContent]["drawn"], required=False, widget=forms.HiddenInput
    )
    depth_mm = _size("depth_mm")
    left_mm = _size("left_mm")
    stitch_mm = _size("stitch_mm")
    gap_mm = _size("gap_mm")
    foil_mm = _size("foil_mm")
    note = forms.CharField(
        label=_("Note"), max_length=LONGEST[SheetContent]["note"], required=False
    )
    to_confirm = forms.BooleanField(label=NOT_SURE, required=False)

    @property
    def content(self) -> SheetContent:
        given = dict(self.cleaned_data)
        given["zone"] = Zone(given["zone"]) if given["zone"] else None
        return SheetContent(**{**given, "kind": SheetKind(given["kind"])})

    @staticmethod
    def initial_of(item: SheetContent) -> dict[str, Any]:
        return {
            "kind": item.kind.value,
            "pattern": item.pattern,
            "zone": item.zone.value if item.zone else "",
            "drawn": item.drawn,
            "note": item.note,
            "to_confirm": item.to_confirm,
            **{name: getattr(item, name) for name in SIZES},
        }
