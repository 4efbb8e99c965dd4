"""House rules: a change is a new set under the next number, and the old one stays."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db import transaction

from academy.audit.services import record
from academy.craft.rules import RuleError, Rules, check_house_value, standard_rules
from academy.curriculum.content import Problem
from academy.curriculum.errors import CurriculumError
from academy.curriculum.house import current_rule_set, house_of, plain
from academy.curriculum.models import RuleSet
from academy.curriculum.services.common import actor_id, lock_curriculum, require_educator

if TYPE_CHECKING:
    from collections.abc import Mapping

    from academy.craft.rules import RuleValue
    from academy.people.models import Academy, Person

LONGEST_NOTE = 200


@transaction.atomic
def make_rule_set(
    *,
    academy: Academy,
    by: Person | None,
    changes: Mapping[str, RuleValue | None],
    note: str = "",
    seen: int | None = None,
) -> RuleSet:
    """Lay `changes` over the house rules that hold now; None gives a rule back to the standard.

    `seen` is the number the writer has seen: it is refused when another set came in between.
    `CurriculumError` names every value outside its range, with the range.
    """
    require_educator(academy, by)
    lock_curriculum(academy)
    current = current_rule_set(academy)
    number = current.number if current else 0
    if seen is not None and seen != number:
        raise CurriculumError(
            f"House rules {number} were made after you opened this page. What you typed stands "
            "below; look at it once more and save again."
        )
    if len(note) > LONGEST_NOTE:
        raise CurriculumError(f"Shorten the reason to {LONGEST_NOTE} characters.", field="note")
    before = house_of(current)
    after = _laid_over(before, changes)
    changed = sorted(key for key in changes if before.get(key) != after.get(key))
    if not changed:
        raise CurriculumError("Nothing differs from the rules that hold now. Change a value first.")
    made = RuleSet.objects.create(
        academy=academy, number=number + 1, rules=plain(after), note=note, made_by=by
    )
    record(
        academy_id=academy.pk,
        actor_id=actor_id(by),
        action="curriculum.ruleset.made",
        subject=made,
        details={"number": made.number, "count": len(changed), "changed": changed},
    )
    return made


def _laid_over(
    house: Mapping[str, RuleValue], changes: Mapping[str, RuleValue | None]
) -> dict[str, RuleValue]:
    book, problems = standard_rules(), []
    after = dict(house)
    for key, value in changes.items():
        try:
            rule = book.rule(key)
            if value is None or value == rule.default:
                after.pop(key, None)
            else:
                check_house_value(rule, value)
                after[key] = value
        except RuleError as error:
            problems.append(Problem(key, str(error)))
    if problems:
        sentences = " ".join(problem.sentence for problem in problems)
        raise CurriculumError(sentences, problems=problems)
    Rules(book, after)
    return after
