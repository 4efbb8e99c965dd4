"""The calculator: a bowl, a strength or a quantity worked out, with the rule that decided each."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from django.shortcuts import render
from django.views.decorators.http import require_safe

from academy.craft.formula.alligation import crossed_parts, grams_of_each
from academy.craft.formula.bowl import COLOUR_CAUTIONS, USES, work_out
from academy.craft.formula.errors import FormulaError
from academy.craft.formula.growth import regrowth_after
from academy.craft.formula.quantity import Quantity, quantity_for
from academy.craft.formula.strength import volume_of_percent
from academy.craft.rules import RuleError
from academy.curriculum.forms.mixing import BowlForm, QuantityForm, StrengthForm
from academy.curriculum.house import label_of, rules_today
from academy.curriculum.reference import cautions
from academy.people.acting import acting

if TYPE_CHECKING:
    from collections.abc import Iterable

    from django.http import HttpResponse

    from academy.craft.formula.bowl import WorkedBowl
    from academy.craft.measure import Ratio
    from academy.craft.rules import Decided
    from academy.people.acting import ActingRequest
    from academy.people.models import Academy

BOWL, STRENGTH, QUANTITY = "bowl", "strength", "quantity"


@dataclass(frozen=True)
class MadeStrength:
    """Grams of two bottles that give a strength."""

    stronger: Decimal
    weaker: Decimal
    parts: Ratio
    wanted: Decimal

    @property
    def volume(self) -> Decimal:
        """The wanted strength by the trade table."""
        return volume_of_percent(self.wanted)


@dataclass(frozen=True)
class MadeQuantity:
    """What a regrowth needs; `growth` where it was reckoned from weeks."""

    quantity: Quantity
    regrowth: Decimal
    growth: Decided | None


@require_safe
@acting()
def mixture(request: ActingRequest) -> HttpResponse:
    """Nothing is kept: what was typed stands in the address, and holds nothing personal."""
    academy = request.acting.academy
    tool = request.GET.get("tool", "")
    data = {name: request.GET if tool == name else None for name in (BOWL, STRENGTH, QUANTITY)}
    bowl = BowlForm(data[BOWL], academy=academy)
    strength, quantity = StrengthForm(data[STRENGTH]), QuantityForm(data[QUANTITY])
    context = {
        "tool": tool,
        "bowl_form": bowl,
        "strength_form": strength,
        "quantity_form": quantity,
        "bowl": _bowl(bowl, academy),
        "strength": _strength(strength),
        "quantity": _quantity(quantity, academy),
    }
    use = USES.get(request.GET.get("use", ""))
    context["cautions"] = _texts(use.cautions if use else COLOUR_CAUTIONS)
    return render(request, "curriculum/mixture.html", context)


def _bowl(form: BowlForm, academy: Academy) -> WorkedBowl | None:
    if not (form.is_bound and form.is_valid()):
        return None
    row = form.cleaned_data["label"]
    try:
        rules = rules_today(academy, label=label_of(row) if row else None)
        return work_out(form.bowl(), rules)
    except (FormulaError, RuleError) as refused:
        form.add_error(None, str(refused))
        return None


def _strength(form: StrengthForm) -> MadeStrength | None:
    if not (form.is_bound and form.is_valid()):
        return None
    total, wanted, high = (form.cleaned_data[name] for name in ("total", "wanted", "stronger"))
    low = form.cleaned_data["weaker"] or Decimal(0)
    try:
        stronger, weaker = grams_of_each(total, high, low, wanted)
        return MadeStrength(stronger, weaker, crossed_parts(high, low, wanted), wanted)
    except FormulaError as refused:
        form.add_error("wanted", str(refused))
        return None


def _quantity(form: QuantityForm, academy: Academy) -> MadeQuantity | None:
    if not (form.is_bound and form.is_valid()):
        return None
    data, rules = form.cleaned_data, rules_today(academy)
    growth = None if data["regrowth"] else rules.decide("growth")
    regrowth = data["regrowth"] or regrowth_after(Decimal(data["weeks"]), rules.number("growth"))
    return MadeQuantity(
        quantity_for(data["area"], regrowth, data["ratio"], rules), regrowth, growth
    )


def _texts(ids: Iterable[str]) -> list[str]:
    wanted = set(ids)
    return [caution.text for caution in cautions() if caution.id in wanted]
