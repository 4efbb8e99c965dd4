"""What is printed: the text, the table under it, and the worked solution."""

from __future__ import annotations

from typing import TYPE_CHECKING

from academy.craft.exercise.families.scale_a_recipe_to_a_head.heads import SUM_PLACES
from academy.craft.exercise.family import figure, grams
from academy.craft.exercise.question import Given, Level, Line
from academy.craft.exercise.shades import recipe_of, shade_lines
from academy.craft.formula.growth import DAYS_IN_A_MONTH, DAYS_IN_A_WEEK
from academy.craft.formula.mixture import cream_in, developer_for
from academy.craft.formula.quantity import area_of, mixed_needed
from academy.craft.formula.white_hair import AREA_SHARES
from academy.craft.measure import Kind, Value, shown, shown_as

if TYPE_CHECKING:
    from collections.abc import Mapping
    from decimal import Decimal

    from academy.craft.exercise.families.scale_a_recipe_to_a_head.heads import Regrowth

SHARE = "Share of the scalp, "
_RATIO = ("Colour to developer",)
NEEDS: Mapping[str, tuple[str, ...]] = {
    "area": ("Whole scalp", "You treat", *(f"{SHARE}{area}" for area in AREA_SHARES)),
    "regrowth": ("Since the last colour", "Growth"),
    "need": ("Mixed product", "Scalp", "Regrowth", "You treat", "Since the last colour"),
    "bowl": ("Bowl is rounded",),
    "cream": _RATIO,
    "shade_1": ("Depth",),
    "shade_2": ("Depth",),
    "developer": _RATIO,
}


def text_of(drawn: Regrowth) -> str:
    """One head, one bowl."""
    spread = f"You reckon {shown(drawn.spread)} g of mixed product for each cm² at 1 cm of regrowth"
    step = f"round the bowl up to a multiple of {shown(drawn.step)} g"
    if drawn.level == Level.EXAM:
        return (
            f"You colour {_listed(drawn.treated.split())} of a {shown(drawn.scalp)} cm² scalp, "
            f"{drawn.weeks} weeks after the last colour. Shares, growth and spread are below. You "
            f"mix 1:{shown(drawn.d)} and {step}. {_recipe(drawn)} What do you weigh?"
        )
    head = (
        f"The scalp measures {shown(drawn.scalp)} cm², the regrowth {shown(drawn.length)} cm. "
        f"{spread}, mix 1:{shown(drawn.d)} and {step}. "
    )
    if drawn.level == Level.FIRST:
        return head + "How much is needed, and what do you weigh?"
    return head + f"{_recipe(drawn)} What do you weigh?"


def givens_of(drawn: Regrowth) -> tuple[Given, ...]:
    """The figures of the text, and what they are worked with."""
    if drawn.level == Level.EXAM:
        head = [
            Given("Whole scalp", shown(drawn.scalp), "cm²"),
            Given("You treat", ", ".join(drawn.treated.split())),
            *(
                Given(f"{SHARE}{area}", shown(AREA_SHARES[area]), "%", area.capitalize())
                for area in drawn.treated.split()
            ),
            Given("Since the last colour", str(drawn.weeks), "weeks"),
            Given(
                f"Growth in a month of {DAYS_IN_A_MONTH} days",
                shown(drawn.growth),
                "cm",
                "Growth in a month",
            ),
        ]
    else:
        head = [
            Given("Scalp", shown(drawn.scalp), "cm²"),
            Given("Regrowth", shown(drawn.length), "cm"),
        ]
    rows = [
        *head,
        Given(
            "Mixed product for each cm² of scalp and cm of regrowth",
            shown(drawn.spread),
            "g",
            "Mixed product",
        ),
        Given("Colour to developer", f"1:{shown(drawn.d)}"),
        Given("Bowl is rounded up to a multiple of", shown(drawn.step), "g", "Bowl, multiple of"),
    ]
    if drawn.level != Level.FIRST:
        first, second = drawn.shades
        rows.append(Given(f"{first.capitalize()} to {second}", f"{drawn.a}:{drawn.b}"))
    return tuple(rows)


def lines_of(drawn: Regrowth, own: Mapping[str, Value]) -> tuple[Line, ...]:
    """Area and regrowth, need, bowl, cream, shades, developer, and the sum."""
    area = figure(own.get("area"), drawn.area)
    regrowth = figure(own.get("regrowth"), drawn.regrowth)
    right_need = mixed_needed(drawn.spread, area, regrowth)
    need = figure(own.get("need"), right_need)
    bowl = figure(own.get("bowl"), drawn.bowl_for(need))
    head = _head_lines(drawn) if drawn.level == Level.EXAM else ()
    parts = shown(1 + drawn.d)
    cream = figure(own.get("cream"), cream_in(bowl, drawn.d))
    developer = figure(own.get("developer"), developer_for(cream, drawn.d))
    recipe = (drawn.a, drawn.b)
    one = drawn.level == Level.FIRST
    shades = () if one else shade_lines(drawn.shades, recipe, cream, own)
    return (
        *head,
        Line(
            "Mixed product needed",
            need_sum(drawn.spread, area, regrowth),
            grams(right_need),
            "need",
        ),
        Line(
            "Bowl",
            f"{grams(need)}, up to a multiple of {shown(drawn.step)} g",
            grams(drawn.bowl_for(need)),
            "bowl",
        ),
        Line(
            "Cream, one part", f"{grams(bowl)} ÷ {parts}", grams(cream_in(bowl, drawn.d)), "cream"
        ),
        *shades,
        Line(
            "Developer",
            f"{grams(cream)} × {shown(drawn.d)}",
            grams(developer_for(cream, drawn.d)),
            "developer",
        ),
        Line("Check", f"{grams(cream)} + {grams(developer)}", grams(cream + developer)),
    )


def need_sum(spread: Decimal, area: Decimal, regrowth: Decimal) -> str:
    """The need as a sum; with the regrowth rounded to 0.01 cm it would not add up."""
    return f"{shown(spread)} × {shown(area)} × {shown(regrowth, SUM_PLACES)}"


def _head_lines(drawn: Regrowth) -> tuple[Line, ...]:
    treated = drawn.treated.split()
    shares = " + ".join(shown(AREA_SHARES[area]) for area in treated)
    days = drawn.weeks * DAYS_IN_A_WEEK
    return (
        Line(
            "Area you treat",
            f"{shown(drawn.scalp)} cm² × ({shares}) ÷ 100",
            shown_as(Kind.AREA, area_of(treated, drawn.scalp)),
            "area",
        ),
        Line(
            f"Regrowth in {days} days",
            f"{shown(drawn.growth)} cm × {days} ÷ {DAYS_IN_A_MONTH}",
            shown_as(Kind.LENGTH, drawn.regrowth),
            "regrowth",
        ),
    )


def _recipe(drawn: Regrowth) -> str:
    return recipe_of(drawn.shades, (drawn.a, drawn.b))


def _listed(areas: list[str]) -> str:
    *most, last = areas
    return f"the {', '.join(most)} and {last}"
