"""What the pages of one session show, beside the session itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe

from academy.audit import sentences
from academy.audit.queries import history_of
from academy.craft.head.svg import VIEW_TITLES, Drawing, view_svg
from academy.craft.head.zones import Zone
from academy.curriculum.house import rules_today
from academy.curriculum.reference import cautions
from academy.practice import queries, rules
from academy.practice.forms.answer import AnswerForm
from academy.practice.timing import PROCESSES, all_timings

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.curriculum.models import ModuleVersion
    from academy.people.acting import Acting
    from academy.practice.forms.session import SessionForm
    from academy.practice.models import PracticeSession

# Both sides together show all seven zones.
VIEWS_SHOWN = ("left", "right")


class HeadView(NamedTuple):
    title: str
    svg: SafeString


def head_views(zones: Iterable[str]) -> list[HeadView]:
    """Two small drawings beside the words of the zones; too small for words of their own."""
    chosen = {Zone(zone): "sel" for zone in zones}
    drawing = Drawing(states=chosen, labels=False)
    # Our own drawing code: no text of a person reaches it.
    return [
        HeadView(VIEW_TITLES[view], mark_safe(view_svg(view, drawing)))  # noqa: S308
        for view in VIEWS_SHOWN
    ]


def caution_texts(version: ModuleVersion) -> list[str]:
    """The module's own cautions; the one for every sheet stands under them by itself."""
    return [c.text for c in cautions() if c.id in version.cautions and not c.everywhere]


def form_page(acting: Acting, version: ModuleVersion, form: SessionForm) -> dict[str, Any]:
    known = {zone.value for zone in Zone}
    zones = [zone for zone in form.chosen_zones if zone in known]
    return {
        "form": form,
        "version": version,
        "views": head_views(zones),
        "cautions": caution_texts(version),
        "timings": all_timings(rules_today(acting.academy)),
        "progress": queries.progress_of(acting.person, version),
    }


def detail_page(
    acting: Acting, session: PracticeSession, *, form: AnswerForm | None = None
) -> dict[str, Any]:
    """One session with its checks, its answer and its history."""
    person = acting.person
    own = session.apprentice_id == person.pk
    history = history_of(session._meta.label_lower, session.pk, academy_id=acting.academy.pk)
    codes = {c.code: c.title for c in session.module_version.criteria.all()}
    if form is None and rules.may_confirm(person, session):
        form = AnswerForm(academy=acting.academy, supervisor=person)
    return {
        "session": session,
        "own": own,
        "form": form,
        "may_take_back": rules.may_take_back(person, session, timezone.now()),
        "checks": session.strand_checks.all(),
        "process": PROCESSES.get(session.timing.get("process", "")),
        "criteria": [(code, codes.get(code, "")) for code in session.criteria],
        "views": head_views(session.zones) if session.zones else [],
        "progress": queries.progress_of(session.apprentice, session.module_version),
        "history": sentences.render(history),
    }
