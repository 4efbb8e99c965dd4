"""A whole bowl, worked out: strengths, limits, ratio, times, and which rule decided each.

What is weighed goes in; what comes out are figures with their provenance and findings in
sentences. A finding never says that a mixture is safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

from academy.craft.formula.alligation import strength_of
from academy.craft.formula.errors import FormulaError
from academy.craft.formula.limits import LimitCheck, check_limit
from academy.craft.formula.mixture import ratio_of
from academy.craft.measure import shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from academy.craft.rules import Decided, Label, Rules

COLOUR_CAUTIONS = ("K1", "K2", "K3", "K4", "K7", "K8")
LIGHTENER_CAUTIONS = ("K2", "K3", "K4", "K5", "K7", "K8", "K10", "K11")


@dataclass(frozen=True, slots=True)
class Use:
    """What a bowl is for: the keys of the rules that speak to it."""

    name: str
    kind: str
    task: str
    processes: tuple[str, ...]
    cautions: tuple[str, ...] = COLOUR_CAUTIONS
    top: str = ""

    @property
    def has_ratio(self) -> bool:
        """A gloss is mixed in three equal parts and has no ratio rule."""
        return self.kind != "gloss"


_WHITE = ("permanent_white_normal", "permanent_white_resistant")
USES: Mapping[str, Use] = {
    "full_coverage": Use("Covering white hair", "permanent", "full_coverage", _WHITE),
    "deposit": Use("Same depth or darker", "permanent", "deposit", ("permanent",)),
    "lift_1_2": Use("1 to 2 depths lighter", "permanent", "lift_1_2", ("permanent",)),
    "lift_3": Use("3 depths lighter", "permanent", "lift_3", ("permanent",)),
    "high_lift": Use("High-lift colour", "high_lift", "high_lift", ("high_lift",)),
    "quasi": Use("Quasi-permanent colour", "quasi", "quasi", ("quasi",)),
    "gloss": Use("Gloss", "gloss", "gloss", ("gloss",)),
    "lightener_foils": Use(
        "Lightener in foils",
        "lightener_foils",
        "lightener_foils",
        ("lightener_foils",),
        LIGHTENER_CAUTIONS,
        "lightener_foils_top",
    ),
    "lightener_scalp": Use(
        "Lightener on the scalp",
        "lightener_scalp",
        "lightener_scalp",
        ("lightener_scalp",),
        LIGHTENER_CAUTIONS,
        "lightener_scalp",
    ),
}
"""By key, in the order of the trade page, section 2.2."""

INGREDIENTS: Mapping[str, str] = {
    "p_phenylenediamine": "p-phenylenediamine",
    "toluene_2_5_diamine": "toluene-2,5-diamine",
    "resorcinol": "resorcinol",
    "m_aminophenol": "m-aminophenol",
    "2-methylresorcinol": "2-methylresorcinol",
    "ammonia": "ammonia",
}
"""Ingredients with a limit in the mixed product besides peroxide, by the key of ``legal_limit``."""


class Weight(StrEnum):
    """How much a finding weighs."""

    REFUSE = "refuse"
    WARN = "warn"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know about a bowl, as a sentence."""

    weight: Weight
    sentence: str


@dataclass(frozen=True, slots=True)
class Bowl:
    """What was weighed, in grams. ``developers`` are (grams, per cent); a neutral cream has 0 %.

    ``other`` holds no peroxide and no dye (conditioner, shampoo). ``in_tube`` is the per cent of
    ``ingredient`` (a key of ``INGREDIENTS``) in the colour. ``FormulaError`` for an empty bowl.
    """

    use: str
    colour: Decimal
    developers: tuple[tuple[Decimal, Decimal], ...] = ()
    other: Decimal = Decimal(0)
    ingredient: str = ""
    in_tube: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if self.colour <= 0:
            raise FormulaError("The bowl needs colour or powder: give its grams, for example 40 g.")
        weights = [self.other, *(grams for grams, _ in self.developers)]
        if min(weights) < 0 or any(percent < 0 for _, percent in self.developers):
            raise FormulaError("A weight or a strength cannot lie below zero.")

    @property
    def developer(self) -> Decimal:
        """Grams of developer in all."""
        return sum((grams for grams, _ in self.developers), Decimal(0))

    @property
    def total(self) -> Decimal:
        """Grams in the bowl."""
        return self.colour + self.developer + self.other

    @property
    def bottle_strength(self) -> Decimal:
        """Per cent of the developer alone, several of them mixed; 0 without developer."""
        return strength_of(self.developers) if self.developer else Decimal(0)

    @property
    def on_the_head(self) -> Decimal:
        """Peroxide per cent in the finished mixture."""
        return self.developer * self.bottle_strength / self.total

    @property
    def ingredient_on_the_head(self) -> Decimal:
        """Per cent of the ingredient in the finished mixture."""
        return self.colour * self.in_tube / self.total

    @property
    def d(self) -> Decimal:
        """The d of 1:d that was weighed."""
        return ratio_of(self.colour, self.developer)


@dataclass(frozen=True, slots=True)
class WorkedBowl:
    """A bowl with what the rules say to it."""

    bowl: Bowl
    use: Use
    peroxide: LimitCheck
    ingredient: LimitCheck | None
    strength: Decided
    ratio: Decided | None
    times: tuple[Decided, ...]
    findings: tuple[Finding, ...]

    @property
    def ingredient_name(self) -> str:
        """The ingredient in words; empty where none was named."""
        return INGREDIENTS.get(self.bowl.ingredient, "")

    @property
    def refused(self) -> bool:
        """Whether something here may not be put on a head at all."""
        return any(finding.weight is Weight.REFUSE for finding in self.findings)


def work_out(bowl: Bowl, rules: Rules) -> WorkedBowl:
    """Strengths, limits and times of a bowl under the rules and the label they carry."""
    use = USES[bowl.use]
    peroxide = check_limit("peroxide", bowl.on_the_head, rules)
    ingredient = (
        check_limit(bowl.ingredient, bowl.ingredient_on_the_head, rules)
        if bowl.ingredient
        else None
    )
    strength = rules.decide("developer_strength", task=use.task)
    ratio = rules.decide("mixing_ratio", kind=use.kind) if use.has_ratio else None
    found = (
        *_limit_findings(peroxide, "Peroxide"),
        *_limit_findings(ingredient, INGREDIENTS.get(bowl.ingredient, "").capitalize()),
        *_top_findings(bowl, use, rules),
        *_label_findings(use, rules.label),
        *_off_rule(bowl, strength, ratio, rules),
    )
    findings = tuple(sorted(found, key=lambda finding: list(Weight).index(finding.weight)))
    return WorkedBowl(
        bowl, use, peroxide, ingredient, strength, ratio, _times(use, rules), findings
    )


def _limit_findings(check: LimitCheck | None, what: str) -> Iterator[Finding]:
    if check is not None:
        weight = Weight.NOTE if check.allowed else Weight.REFUSE
        yield Finding(weight, f"{what}: {check.sentence}")


def _top_findings(bowl: Bowl, use: Use, rules: Rules) -> Iterator[Finding]:
    """Lightener over its top strength is refused, even where a label allows more."""
    if not use.top:
        return
    top = rules.decide("developer_strength", task=use.top)
    if bowl.bottle_strength > top.number:
        yield Finding(
            Weight.REFUSE,
            f"{use.name} is mixed with at most {top.sentence}; this developer has "
            f"{shown(bowl.bottle_strength, 2)} %.",
        )


def _label_findings(use: Use, label: Label | None) -> Iterator[Finding]:
    if label is None:
        return
    if label.kind != use.kind:
        kind = label.kind.replace("_", " ")
        yield Finding(
            Weight.WARN, f"The label of {label.name} is for {kind}. It decides nothing here."
        )
    if not label.on_scalp and use.kind == "lightener_scalp":
        yield Finding(Weight.REFUSE, f"The label of {label.name} keeps it off the scalp.")


def _off_rule(
    bowl: Bowl, strength: Decided, ratio: Decided | None, rules: Rules
) -> Iterator[Finding]:
    """A figure off its rule is a warning; another value that the label allows is not."""
    if not bowl.developer:
        yield Finding(Weight.WARN, "There is no developer in this bowl.")
        return
    if bowl.bottle_strength not in _allowed(strength, rules):
        found = shown(bowl.bottle_strength, 2)
        yield Finding(Weight.WARN, f"The developer has {found} %; the rule is {strength.sentence}.")
    if ratio is not None and bowl.d not in _allowed(ratio, rules):
        yield Finding(
            Weight.WARN, f"It is mixed 1:{shown(bowl.d, 2)}; the rule is {ratio.sentence}."
        )


def _allowed(decided: Decided, rules: Rules) -> set[Decimal]:
    entry = rules.defaults.rule(decided.rule_key).label_field
    return {decided.number, *(rules.label.allowed(entry) if rules.label else ())}


def _times(use: Use, rules: Rules) -> tuple[Decided, ...]:
    known = rules.defaults.rules
    return tuple(
        rules.decide("development", process=process, what=what)
        for process in use.processes
        for what in ("minutes", "first_check", "ceiling")
        if f"development.{process}.{what}" in known
    )
