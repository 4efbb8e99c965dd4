"""Changing a group of house rules: an empty box gives the rule back to the standard."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from academy.curriculum.services.house import LONGEST_NOTE
from academy.web.fields import UNITS
from academy.web.forms import BlockworkForm, DecimalField, UnitField, speak_plainly

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.rules import Rule, RuleValue
    from academy.curriculum.errors import CurriculumError
    from academy.curriculum.house_page import RuleGroup, RuleRow

PLACES = 3


class RuleGroupForm(BlockworkForm):
    """One field for each rule of a group that may be changed."""

    note = forms.CharField(label=_("Why"), max_length=LONGEST_NOTE, required=False)

    def __init__(self, data: Any, *, group: RuleGroup, house: Mapping[str, RuleValue]) -> None:
        self.rules = {row.rule.key: row.rule for row in group.rows if not row.locked}
        initial = {key: house[key] for key in self.rules if key in house}
        super().__init__(data, initial=initial)
        for row in group.rows:
            if not row.locked:
                self.fields[row.rule.key] = _field(row)
                speak_plainly(self.fields[row.rule.key])
        self.order_fields([*self.rules, "note"])

    @property
    def changes(self) -> dict[str, RuleValue | None]:
        """The value of each rule; None where the standard is to hold."""
        given = self.cleaned_data
        return {key: None if given[key] in ("", None) else given[key] for key in self.rules}

    def refuse_each(self, error: CurriculumError) -> None:
        """Put each refused value beside its box, anything else on top."""
        for problem in error.problems:
            self.add_error(problem.path if problem.path in self.fields else None, problem.sentence)
        if not error.problems:
            self.refuse(error)


def _field(row: RuleRow) -> forms.Field:
    rule = row.rule
    words = _("Standard %(standard)s. Allowed: %(range)s. %(behind)s.")
    told = {
        "standard": row.standard,
        "range": rule.range_words,
        "behind": row.behind[:1].upper() + row.behind[1:],
    }
    options: dict[str, Any] = {
        "label": row.words[:1].upper() + row.words[1:],
        "required": False,
        "help_text": words % told,
    }
    if rule.choices:
        choices = [("", _("the standard")), *((word, word) for word in rule.choices)]
        return forms.ChoiceField(choices=choices, **options)
    return _figure(rule, options)


def _figure(rule: Rule, options: dict[str, Any]) -> forms.Field:
    if rule.unit in UNITS:
        return UnitField(rule.unit, places=PLACES, example=f"7 {rule.unit}", **options)
    if rule.unit == "1:d":
        options["label"] = f"{options['label']}, 1 to"
    return DecimalField(places=PLACES, example="7", **options)
