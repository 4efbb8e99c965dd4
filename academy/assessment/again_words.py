"""What follows a "not yet", in sentences for the apprentice, the assessor and the educator."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from academy.assessment.editions import edition_of
from academy.craft.head.zones import Zone
from academy.craft.judging.reassessment import WholeBecause
from academy.craft.measure import counted
from academy.practice.words import far_words
from academy.web.days import written, written_short

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from academy.assessment.again import AgainRules
    from academy.assessment.models import ActionPlan
    from academy.craft.judging.marking import Place
    from academy.craft.judging.reassessment import Again, PracticeNeeded
    from academy.curriculum.models import ModuleVersion

_BECAUSE = {
    WholeBecause.STOP: "the head was stopped for safety",
    WholeBecause.LEFT_OUT: "too many zones were left out",
    WholeBecause.MUST: "a must-pass criterion was missed",
    WholeBecause.ASKED: "the educator asks for the whole module",
    WholeBecause.EDITION: "a newer edition of the module is practised now",
}
_ORDINALS = {1: "first", 2: "second", 3: "third", 4: "fourth", 5: "fifth", 6: "sixth"}


def ordinal(number: int) -> str:
    """Third, or 7th from seven on."""
    return _ORDINALS.get(number, f"{number}th")


@dataclass(frozen=True)
class AgainWords:
    """What comes after a "not yet", and its sentences.

    `count` is how many "not yet" there are on the module; `barred` are the assessors who may not
    judge the next head; `plan` is the action plan that counts for it.
    """

    version: ModuleVersion
    not_yet_on: date
    count: int
    again: Again
    earliest: date
    practice: tuple[PracticeNeeded, ...]
    barred: Mapping[int, str]
    plan: ActionPlan | None
    rules: AgainRules
    today: date

    @property
    def titles(self) -> dict[str, str]:
        """What each criterion of the module is called."""
        return {row.code: row.title for row in edition_of(self.version).criteria}

    def place_words(self, place: Place | None) -> str:
        """For example "Coverage by eye in the nape zone"."""
        if place is None:
            return "this module"
        code, zone = place
        title = self.titles.get(code, code)
        return f"{title} in the {Zone(zone).words} zone" if zone else title

    @property
    def scope_words(self) -> str:
        """How much is judged again, and why."""
        if not self.again.partial:
            why = ", and ".join(_BECAUSE[one] for one in self.again.whole_because)
            return f"The whole module again: {why}."
        titles = ", ".join(self.titles[code] for code in self.again.criteria)
        other = ""
        if self.again.others:
            other = f", plus {counted(self.again.others, 'other criterion', 'other criteria')}"
            other += " the assessor chooses"
        return f"Partial: {titles}, in every judged zone{other}. There is no head mark."

    @property
    def practice_rows(self) -> list[tuple[str, str]]:
        """Each place to practise in words, and how far it is."""
        return [
            (self.place_words(row.place), far_words(row.done, row.asked)) for row in self.practice
        ]

    @property
    def day_words(self) -> str:
        since = f"{counted(self.rules.days, 'day')} after the “not yet” of"
        return f"From {written(self.earliest)} on, {since} {written_short(self.not_yet_on)}."

    @property
    def choices(self) -> list[tuple[str, str]]:
        """The other criteria of a partial one: code and title."""
        return [(code, self.titles[code]) for code in self.again.choice]

    @property
    def barred_words(self) -> str:
        """Who gave the earlier "not yet", by name."""
        return " and ".join(sorted(self.barred.values()))

    @property
    def next_words(self) -> str:
        """The one line of a first page: what is open before the next head."""
        missing = max((row.missing for row in self.practice), default=0)
        parts = []
        if missing:
            heads = counted(missing, "more practice head")
            parts.append(f"{heads} that cover what was missed.")
        if self.today < self.earliest:
            parts.append(f"Earliest {written_short(self.earliest)}.")
        if self.count >= self.rules.colleague_from and self.plan is None:
            parts.append("An action plan is to be written.")
        return " ".join(parts) or "May be assessed again."

    def refusals(self, assessor: int | None = None) -> list[str]:
        """Why the next head may not be begun today, each with what to do. Empty: it may."""
        found = []
        if self.today < self.earliest:
            found.append(f"Too early. {self.day_words} Book a day from then on.")
        found += [self._practice_refusal(row) for row in self.practice if row.missing]
        if assessor is not None and assessor in self.barred:
            found.append(
                f"After the {ordinal(self.count)} “not yet” somebody else assesses; the earlier "
                f"ones are by {self.barred_words}. Ask another assessor."
            )
        if self.count >= self.rules.colleague_from and self.plan is None:
            found.append(
                f"After the {ordinal(self.count)} “not yet” an action plan with a date comes "
                "first. Ask the educator to write it."
            )
        return found

    def _practice_refusal(self, row: PracticeNeeded) -> str:
        asked = counted(row.asked, "more practice head")
        return (
            f"First {asked} that cover {self.place_words(row.place)}: {row.done} of {row.asked} "
            f"logged since. Log {row.missing} more, naming criterion and zone."
        )
