from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from django.db import transaction

from academy.audit import sentences
from academy.audit.queries import history_of, history_of_person
from academy.people.models import Person
from tests.site.entries import recorded

if TYPE_CHECKING:
    from academy.audit.models import Entry


@pytest.fixture(autouse=True)
def _own_registry(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sentences, "_templates", dict(sentences._templates))
    monkeypatch.setattr(sentences, "_resolvers", dict(sentences._resolvers))
    sentences.register(
        "audit.head.judged", "{actor} found {person:people.person} {outcome:test.outcome} {subject}"
    )
    sentences.resolve("test.outcome", lambda _: {"not_yet": "not yet ready for"})
    sentences.resolve("curriculum.module", lambda _: {4: "fine weaves"})


def judge(actor: int | None, person: int, outcome: str = "not_yet", subject: int = 4) -> Entry:
    with transaction.atomic():
        return recorded(
            academy_id=1,
            actor_id=actor,
            action="audit.head.judged",
            subject=("curriculum.module", subject),
            details={"person": person, "outcome": outcome},
        )


def told(*entries: Entry) -> list[str]:
    return [line.sentence for line in sentences.render(entries)]


def test_names_are_put_in_when_an_entry_is_read(assessor: Person, apprentice: Person) -> None:
    entry = judge(assessor.pk, apprentice.pk)
    wanted = "Dilys Okafor-Reed found Tamsin Orle not yet ready for fine weaves"
    assert told(entry) == [wanted]
    assert b"Tamsin" not in bytes(entry.canonical)


def test_a_changed_name_is_read_with_the_new_one(assessor: Person, apprentice: Person) -> None:
    entry = judge(assessor.pk, apprentice.pk)
    Person.objects.filter(pk=apprentice.pk).update(name="Tamsin Wells")
    assert "Tamsin Wells" in told(entry)[0]


def test_what_nobody_knows_any_more_is_told_all_the_same() -> None:
    entry = judge(None, 99, outcome="other", subject=5)
    wanted = "The system found a person no longer on record test.outcome other curriculum.module 5"
    assert told(entry) == [wanted]


def test_an_action_whose_sentence_is_gone_is_told_by_its_name() -> None:
    entry = judge(None, 99)
    del sentences._templates["audit.head.judged"]
    assert told(entry) == ["The system: audit.head.judged, fine weaves"]


def test_each_kind_of_value_is_looked_up_once(
    assessor: Person, apprentice: Person, django_assert_num_queries: Any
) -> None:
    entries = [judge(assessor.pk, apprentice.pk) for _ in range(40)]
    with django_assert_num_queries(1):
        assert len(told(*entries)) == 40


@pytest.mark.parametrize("action", ["judged", "audit.judged", "Audit.Head.Judged", "a.b.c.d"])
def test_an_action_that_is_not_app_thing_verb_is_refused(action: str) -> None:
    with pytest.raises(ValueError, match="is no action"):
        sentences.register(action, "{actor} did {subject}")


def test_an_action_has_one_sentence() -> None:
    sentences.register("audit.head.seen", "{actor} saw {subject}")
    sentences.register("audit.head.seen", "{actor} saw {subject}")
    with pytest.raises(ValueError, match="already has another sentence"):
        sentences.register("audit.head.seen", "{actor} looked at {subject}")


@pytest.mark.parametrize("template", ["{actor} saw {0}", "{actor!r} saw {subject}", "{} saw"])
def test_a_sentence_with_anything_but_names_in_it_is_refused(template: str) -> None:
    with pytest.raises(ValueError, match="write"):
        sentences.register("audit.head.seen", template)


def test_the_history_of_a_row_is_read_newest_first() -> None:
    first, second, _ = judge(1, 2), judge(1, 3), judge(1, 2, subject=5)
    assert list(history_of("curriculum.module", 4, academy_id=1)) == [second, first]
    assert not history_of("curriculum.module", 4, academy_id=2).exists()


def test_the_history_of_a_person_is_what_they_did_and_what_was_done_about_them() -> None:
    did, about, _ = judge(7, 2), judge(1, 7), judge(1, 2)
    assert list(history_of_person(7, academy_id=1)) == [about, did]
    assert not history_of_person(7, academy_id=2).exists()


def test_every_registered_sentence_of_the_site_can_be_told() -> None:
    for action, template in sentences._templates.items():
        values: sentences._Values = {n: ("", 1) for n, _ in sentences._fields(template)}
        assert sentences._sentence(action, values, {})
