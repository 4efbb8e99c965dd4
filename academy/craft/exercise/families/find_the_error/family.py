"""The family itself: what is drawn, asked, marked and carried over."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from academy.craft.exercise.families.find_the_error.sentence import (
    Sentence,
    plain_mean,
    third_of,
)
from academy.craft.exercise.families.find_the_error.slips import (
    HELPS,
    NO_SLIP,
    Slip,
    Template,
    reasons_for,
)
from academy.craft.exercise.families.find_the_error.throwing import settle, throw_sentence
from academy.craft.exercise.families.find_the_error.wording import TAKEN_OFF, Said, said_of
from academy.craft.exercise.family import Dice, Drawn, Follow, Tolerances, scalars_of
from academy.craft.exercise.question import Field, Given, Level, Line, Mistake
from academy.craft.measure import EXACT, NONE, Choice, Kind, Value

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from academy.craft.rules import Rules

VERDICTS = (
    Choice("right", "Right", ("yes", "true", "correct")),
    Choice("wrong", "Wrong", ("no", "false", "not right")),
)
_CHECK_FIRST = "Check before you doubt."
_OWN_NAMES = {
    Template.MIXTURE: "plain-mean",
    Template.VOLUME: "divide-by-3",
    Template.HALVES: "subtract",
}


class FindTheError:
    """Exercise family ``find-the-error``."""

    key = "find-the-error"
    version = 1
    title = "Finding the error"
    trains = "Spotting a wrong sentence and saying what is right"
    parameters = Sentence

    def draw(self, dice: Dice, level: Level, rules: Rules) -> Drawn[Sentence] | None:
        """A sentence, one in four of them true."""
        thrown = throw_sentence(dice, level, rules)
        return None if thrown is None else Drawn(*thrown)

    def under(self, drawn: Sentence, rules: Rules) -> Drawn[Sentence] | None:
        """The same sentence, about the strength or the limit that holds now."""
        settled = settle(drawn, rules)
        return None if settled is None else Drawn(*settled)

    def identity(self, drawn: Sentence) -> str:
        """The sentence with its figures; not the level, nor who set a rule."""
        kept = scalars_of(drawn).items()
        return "/".join(str(value) for name, value in kept if name not in {"level", "rule_said"})

    def key_of(self, drawn: Sentence) -> dict[str, Value]:
        """Right or wrong, the right value where there is one, and the slip."""
        key: dict[str, Value] = {
            "verdict": "right" if drawn.true else "wrong",
            "reason": drawn.slip or NO_SLIP,
        }
        right = said_of(drawn).right
        return key if right is None else key | {"value": right}

    def fields(self, drawn: Sentence, tolerances: Tolerances) -> tuple[Field, ...]:
        """The verdict weighs double; the value from level working on, where there is one."""
        said = said_of(drawn)
        verdict = Field("verdict", "Right or wrong?", Kind.CHOICE, weight=2, choices=VERDICTS)
        reasons = reasons_for(Template(drawn.template))
        reason = Field("reason", "The slip behind it", Kind.CHOICE, choices=reasons)
        if not _asks_value(drawn, said):
            return verdict, reason
        value = Field(
            "value",
            said.asks,
            said.kind,
            tolerance=tolerances.strength if said.kind is Kind.STRENGTH else EXACT,
            also=(NONE,) if drawn.true else (),
            or_none=True,
        )
        return verdict, value, reason

    def mistakes(self, drawn: Sentence) -> Iterator[Mistake]:
        """The slips of the trade page, each under its own condition."""
        if drawn.true:
            yield Mistake("over-corrects", "verdict", "wrong", _CHECK_FIRST)
        else:
            yield Mistake("accepts", "verdict", "right", _helps(drawn))
        said = said_of(drawn)
        if said.right is None or drawn.level == Level.FIRST:
            return
        named = _named_value(drawn)
        if named is not None:
            yield named
        if said.claimed is not None and (named is None or named.value != said.claimed):
            # In a true sentence the claim is the key, and the engine leaves this out.
            yield Mistake("accepts", "value", said.claimed, _helps(drawn))

    def text(self, drawn: Sentence) -> str:
        """One sentence to judge."""
        asked = "which slip is behind it?"
        if _asks_value(drawn, said_of(drawn)):
            asked = f"what is right, and {asked}"
        return f"A colleague tells you: “{said_of(drawn).words}.” Is that right? If not, {asked}"

    def givens(self, drawn: Sentence) -> tuple[Given, ...]:
        """The figures of the sentence; where it has none, the sentence."""
        return said_of(drawn).givens

    def lines(self, drawn: Sentence, own: Mapping[str, Value]) -> tuple[Line, ...]:
        """What is claimed, what comes out, both compared, the slip."""
        said = said_of(drawn)
        mine = own.get("value")
        found = mine if isinstance(mine, Decimal) else said.right
        verdict = "Right" if drawn.true else "Wrong"
        helps = "nothing to put right" if drawn.true else _helps(drawn)
        reasons = reasons_for(Template(drawn.template))
        reason = next(choice.label for choice in reasons if choice.key == (drawn.slip or NO_SLIP))
        return (
            Line("Claimed", said.words, said.claim),
            Line(
                "Worked out",
                said.working,
                said.found(said.right),
                "value" if _asks_value(drawn, said) else "",
            ),
            Line("Compared", said.compared(found, true=drawn.true), verdict, "verdict"),
            Line("The slip", helps, reason, "reason"),
        )

    def follow(self, drawn: Sentence, field: str, own: Mapping[str, Value]) -> Iterable[Follow]:
        """Nothing carries over: each line is a judgement of its own."""
        del drawn, field, own
        return ()


def _asks_value(drawn: Sentence, said: Said) -> bool:
    return said.right is not None and drawn.level != Level.FIRST


def _helps(drawn: Sentence) -> str:
    return said_of(drawn).helps or (HELPS[Slip(drawn.slip)] if drawn.slip else _CHECK_FIRST)


def _named_value(drawn: Sentence) -> Mistake | None:
    """The wrong value that the trade page names for this template."""
    template = Template(drawn.template)
    if template is Template.MIXTURE:
        value, slip = plain_mean(drawn), Slip.MEAN
    elif template is Template.VOLUME:
        value, slip = third_of(drawn.volume), Slip.THIRD
    elif template is Template.HALVES and drawn.percent_1 > TAKEN_OFF:
        value, slip = drawn.percent_1 - TAKEN_OFF, Slip.SUBTRACT
    else:
        return None
    return Mistake(_OWN_NAMES[template], "value", value, HELPS[slip])
