"""Where an assessor goes from a condition of a sign-off that is not met."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from django.urls import reverse

from academy.assessment.models import Assessment

if TYPE_CHECKING:
    from collections.abc import Sequence

    from academy.assessment.results import Condition
    from academy.curriculum.models import ModuleVersion
    from academy.people.acting import Acting
    from academy.people.models import Person


@dataclass(frozen=True)
class Way:
    """A link to where the condition can be met or is explained."""

    words: str
    url: str


def ways_on(
    acting: Acting, conditions: Sequence[Condition], apprentice: Person, version: ModuleVersion
) -> dict[str, Way]:
    """By the key of each condition that is not met. Two queries where heads are at fault."""
    slug = acting.academy.slug
    standing = reverse(
        "reports:standing",
        kwargs={"academy": slug, "person": apprentice.token, "module": version.module.token},
    )
    begin = reverse("assessment:assessment-new", kwargs={"academy": slug})
    query = urlencode({"apprentice": apprentice.token, "module": version.module.token})
    again = Way("Begin another head", f"{begin}?{query}")
    known = {
        "heads": again,
        "days": again,
        "practice": Way("See the practice", standing),
        "papers": Way("See the papers", standing),
        "signer": Way("See whose they are", standing),
    }
    found = {}
    for condition in conditions:
        if condition.met:
            continue
        way = known.get(condition.key) or _to_head(acting, condition)
        if way is not None:
            found[condition.key] = way
    return found


def _to_head(acting: Acting, condition: Condition) -> Way | None:
    """The first head at fault: its feedback where this person wrote it, else its sheet."""
    rows = Assessment.objects.filter(pk__in=condition.heads).select_related("ruling")
    head = rows.order_by("started_at").first()
    if head is None:
        return None
    if condition.key == "feedback":
        head = head.mark_that_stands
    own = condition.key == "feedback" and head.assessor_id == acting.person.pk
    name = "feedback-correct" if own else "result-detail"
    words = "Fill its boxes" if own else "Open the sheet"
    kwargs = {"academy": acting.academy.slug, "token": head.token}
    return Way(words, reverse(f"assessment:{name}", kwargs=kwargs))
