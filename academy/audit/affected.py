"""What a broken chain leaves in doubt: the entries, and the rows that they speak of."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, NotRequired, TypedDict

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist

from academy.audit import sentences
from academy.audit.models import Checkpoint, Entry
from academy.craft.proof.canonical import parse
from academy.craft.proof.chain import Break, Fault
from academy.craft.proof.errors import ProofError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from academy.audit.comparing import Unlike

MOST: Final = 100
"""Rows that are named; of the rest only the number is given."""


class InDoubt(TypedDict):
    """Entries `first` to `last`; `subjects` are the rows they speak of, `more` the number left.

    With `rows` the entries hold, and the rows are not what they say.
    """

    first: int
    last: int
    subjects: list[tuple[str, int]]
    more: int
    rows: NotRequired[bool]


@dataclass(frozen=True, slots=True)
class Named:
    """A row in doubt: what kind it is, its token (empty where it has none), its words."""

    kind: str
    token: str
    words: str


def in_doubt(academy_id: int, broken: Break) -> InDoubt:
    """What cannot be relied on after the first wrong entry.

    A displayed column that was changed puts its own entry in doubt, and no other. Anything else
    reaches to the next checkpoint that still fits the chain, and without one to the end.
    """
    first = broken.sequence
    last = first if broken.fault is Fault.COLUMN else _end(academy_id, first)
    entries = Entry.objects.for_chain(academy_id).filter(sequence__range=(first, last))
    subjects = dict.fromkeys(entries.values_list("subject_type", "subject_id"))
    subjects |= dict.fromkeys(_as_proved(entries.filter(sequence=first)))
    named = list(subjects)
    return InDoubt(first=first, last=last, subjects=named[:MOST], more=max(0, len(named) - MOST))


def rows_in_doubt(rows: Iterable[Unlike], *, last: int) -> InDoubt:
    """Rows that are not as recorded; the entries hold. `last` stands for one that is missing."""
    found = list(rows)
    entries = [row.entry or last for row in found]
    subjects = list(dict.fromkeys(row.subject for row in found))
    more = max(0, len(subjects) - MOST)
    return InDoubt(
        first=min(entries), last=max(entries), subjects=subjects[:MOST], more=more, rows=True
    )


def named(subjects: Iterable[tuple[str, int]]) -> list[Named]:
    """The rows by kind, token and words; two queries for each kind."""
    by_kind: dict[str, list[int]] = defaultdict(list)
    for kind, pk in subjects:
        by_kind[kind].append(pk)
    found = []
    for kind, ids in sorted(by_kind.items()):
        words, tokens = sentences.words_for(kind, ids), _tokens(kind, ids)
        name = _kind_name(kind)
        found += [Named(name, tokens.get(pk, ""), words.get(pk, f"{name} {pk}")) for pk in ids]
    return found


def _end(academy_id: int, first: int) -> int:
    chain = Entry.objects.for_chain(academy_id)
    for checkpoint in Checkpoint.objects.of(academy_id).filter(size__gte=first):
        at = chain.filter(sequence=checkpoint.size).values_list("hash", flat=True).first()
        after = chain.filter(sequence=checkpoint.size + 1)
        goes_on = after.values_list("previous_hash", flat=True).first()
        fits = at is not None and bytes(at) == bytes(checkpoint.head) and checkpoint.holds
        if fits and (goes_on is None or bytes(goes_on) == bytes(checkpoint.head)):
            return checkpoint.size
    last = chain.values_list("sequence", flat=True).last()
    return max(first, last or 0)


def _as_proved(entries: Iterable[Entry]) -> list[tuple[str, int]]:
    """The subject that the bytes of an entry name, which its columns may hide."""
    found = []
    for entry in entries:
        try:
            content: Any = parse(bytes(entry.canonical))
            kind, pk = content["subject"]
        except (ProofError, KeyError, TypeError, ValueError):
            continue
        found.append((str(kind), int(pk)))
    return found


def _tokens(kind: str, ids: list[int]) -> Mapping[int, str]:
    try:
        model = apps.get_model(kind)
        model._meta.get_field("token")
    except (LookupError, ValueError, FieldDoesNotExist):
        return {}
    return dict(model._base_manager.filter(pk__in=ids).values_list("pk", "token"))


def _kind_name(kind: str) -> str:
    try:
        return str(apps.get_model(kind)._meta.verbose_name)
    except (LookupError, ValueError):
        return kind
