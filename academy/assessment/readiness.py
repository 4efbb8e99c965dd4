"""Whether an apprentice may ask to be assessed in a module, and in sentences why not yet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from django.utils import timezone

from academy.assessment.again import after_not_yet
from academy.assessment.queries import place_of
from academy.assessment.results import Condition
from academy.curriculum.house import rules_today
from academy.curriculum.models import ModuleVersion
from academy.web.days import written

if TYPE_CHECKING:
    from datetime import date

    from academy.assessment.again import AfterNotYet
    from academy.assessment.queries import Place
    from academy.people.models import Academy, Person


@dataclass(frozen=True)
class Readiness:
    """What is asked for before an assessment, each as a condition that is met or not."""

    place: Place
    conditions: tuple[Condition, ...]
    after: AfterNotYet | None

    @property
    def ready(self) -> bool:
        return not self.why_not

    @property
    def why_not(self) -> list[str]:
        return [condition.sentence for condition in self.conditions if not condition.met]


def readiness(
    academy: Academy, apprentice: Person, version: ModuleVersion, on: date | None = None
) -> Readiness:
    """Needs signed off and in date, the practice target, what follows a "not yet", no renewal
    long before a sign-off ends: as far as is known today, for an assessment `on` a day.
    """
    day = on or timezone.localdate()
    place = place_of(academy, apprentice, version)
    after = after_not_yet(academy, apprentice, version)
    if after is not None:
        after = replace(after, today=day)
    found = [
        _needs(place, day),
        Condition("practice", place.evidence.practice_met, place.evidence.practice_words),
        *_after(after),
        *_signed(academy, place, version, day),
    ]
    return Readiness(place, tuple(found), after)


def needs_sentence(open_needs: tuple[int, ...]) -> str:
    """Which modules come first; empty without any. One query where there is one."""
    if not open_needs:
        return ""
    titles = ModuleVersion.objects.filter(
        module__in=open_needs, state=ModuleVersion.State.PUBLISHED
    ).values_list("title", flat=True)
    return (
        f"First needs a sign-off that is in date: {', '.join(titles)}. "
        "The module may be practised meanwhile."
    )


def needs_on(place: Place, day: date) -> str:
    """What of the modules that come first stands in the way on this day; empty for nothing."""
    lapsing = place.lapsing(day)
    words = [needs_sentence(place.open_needs)] if place.open_needs else []
    titles = ModuleVersion.objects.filter(
        module__in=lapsing, state=ModuleVersion.State.PUBLISHED
    ).values_list("module", "title")
    words += [
        f"{title} comes first and is signed off until {written(lapsing[module])} only. Choose a "
        "day until then, or have it signed off anew before."
        for module, title in (titles if lapsing else ())
    ]
    return " ".join(words)


def _needs(place: Place, day: date) -> Condition:
    open_ones = needs_on(place, day)
    words = "Every module that comes first is signed off and in date."
    return Condition("needs", not open_ones, open_ones or words)


def _after(after: AfterNotYet | None) -> list[Condition]:
    if after is None:
        return []
    refusals = after.refusals()
    if refusals:
        return [Condition("again", met=False, sentence=words) for words in refusals]
    return [Condition("again", met=True, sentence="What the last “not yet” asked for is done.")]


def _signed(academy: Academy, place: Place, version: ModuleVersion, day: date) -> list[Condition]:
    if place.signed is None:
        return []
    days = int(rules_today(academy).number("judging", what="renew_days"))
    until = place.signed.in_date_until
    if until > day + timedelta(days=days):
        words = (
            f"{version.title} is signed off until {written(until)}. "
            f"Ask again within {days} days of that day."
        )
        return [Condition("signed", met=False, sentence=words)]
    words = f"The sign-off until {written(until)} may be followed by a new one."
    return [Condition("signed", met=True, sentence=words)]
