"""Every action has a sentence; names are put in when it is read, never when it is written.

An app registers its actions at start-up, and says how its ids read:

    sentences.register("practice.session.confirmed", "{actor} confirmed {subject}")
    sentences.register("people.place.given", "{actor} put {person:people.person} in {subject}")
    sentences.resolve("people.person", names_of_people)     # {3, 5} -> {3: "…", 5: "…"}

In a template `{actor}` and `{subject}` are known; any other word is a key of the details, which
`record` then insists on. After a colon stands the kind that turns the value into words.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from string import Formatter
from typing import TYPE_CHECKING, Final, TypeAlias

from django.utils.translation import gettext

if TYPE_CHECKING:
    from academy.audit.models import Entry

Value: TypeAlias = int | str
Resolver: TypeAlias = Callable[[set[Value]], Mapping[Value, str]]

PERSON: Final = "people.person"
_ACTION = re.compile(r"[a-z]+(\.[a-z][a-z_]*){2}")
_KNOWN: Final = frozenset({"actor", "subject"})

_templates: dict[str, str] = {}
_resolvers: dict[str, Resolver] = {}


@dataclass(frozen=True, slots=True)
class Line:
    """An entry with its sentence."""

    entry: Entry
    sentence: str


def register(action: str, template: str) -> None:
    """Make an action known, with the sentence that tells it. Registering it again is allowed."""
    if not _ACTION.fullmatch(action):
        raise ValueError(f"{action!r} is no action. Write app.thing.verb, all small letters.")
    if _templates.get(action, template) != template:
        raise ValueError(f"{action} already has another sentence: {_templates[action]!r}.")
    _fields(template)
    _templates[action] = template


def resolve(kind: str, resolver: Resolver) -> None:
    """Say how values of a kind (a subject type, or a name of your own) read as words."""
    _resolvers[kind] = resolver


def known(action: str) -> bool:
    """Whether the action was registered."""
    return action in _templates


def needed(action: str) -> frozenset[str]:
    """The keys of the details that the action's sentence speaks of."""
    return frozenset(name for name, _ in _fields(_templates[action])) - _KNOWN


def words_for(kind: str, values: Iterable[Value]) -> dict[Value, str]:
    """The words for values of a kind; what the resolver does not know is left out."""
    wanted = set(values)
    resolver = _resolvers.get(kind)
    return dict(resolver(wanted)) if resolver and wanted else {}


def render(entries: Iterable[Entry]) -> list[Line]:
    """The entries as sentences; each kind of value is looked up once for all of them."""
    rows = [(entry, _values(entry)) for entry in entries]
    wanted: dict[str, set[Value]] = defaultdict(set)
    for _, values in rows:
        for kind, value in values.values():
            if kind and value is not None:
                wanted[kind].add(value)
    words = {kind: words_for(kind, values) for kind, values in wanted.items()}
    return [Line(entry, _sentence(entry.action, values, words)) for entry, values in rows]


_Values: TypeAlias = dict[str, tuple[str, "Value | None"]]


def _values(entry: Entry) -> _Values:
    values: _Values = {
        "actor": (PERSON, entry.actor_id),
        "subject": (entry.subject_type, entry.subject_id),
    }
    for name, kind in _fields(_templates.get(entry.action, "")):
        if name not in _KNOWN:
            values[name] = (kind, entry.details.get(name))
    return values


def _sentence(action: str, values: _Values, words: Mapping[str, Mapping[Value, str]]) -> str:
    template = _templates.get(action)
    if template is None:
        template = "{actor}: " + action + ", {subject}"
    shown = {
        name: _shown(name, kind, value, words.get(kind, {}))
        for name, (kind, value) in values.items()
    }
    # The kinds were served already; a plain replacement field is what str.format understands.
    plain = re.sub(r"\{(\w+):[^}]*\}", r"{\1}", gettext(template))
    text = plain.format_map(shown)
    return text[:1].upper() + text[1:]


def _shown(name: str, kind: str, value: Value | None, words: Mapping[Value, str]) -> str:
    if value is None:
        return gettext("the system") if name == "actor" else gettext("nothing")
    if value in words:
        return words[value]
    if kind == PERSON:
        return gettext("a person no longer on record")
    return f"{kind} {value}" if kind else str(value)


@cache
def _fields(template: str) -> tuple[tuple[str, str], ...]:
    """The (name, kind) of each replacement field."""
    fields = []
    for _, name, kind, conversion in Formatter().parse(template):
        if name is None:
            continue
        if not name.isidentifier() or conversion:
            raise ValueError(f"{template!r}: write {{name}} or {{name:kind}}.")
        fields.append((name, kind or ""))
    return tuple(fields)
