"""What the pages of one session show, beside the session itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from academy.audit import sentences
from academy.audit.queries import history_of
from academy.craft.head.sheet import SHEET_ZONES
from academy.craft.head.svg import Drawing
from academy.craft.head.zones import Zone
from academy.curriculum.house import rules_today
from academy.curriculum.reference import cautions
from academy.practice import queries, rules
from academy.practice.forms.answer import AnswerForm
from academy.practice.timing import PROCESSES, all_timings
from academy.web.heads import (
    Column,
    HeadTable,
    Row,
    head_sheet,
    head_views,
    in_percent,
    zone_title,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from academy.curriculum.models import ModuleVersion
    from academy.people.acting import Acting
    from academy.practice.forms.session import SessionForm
    from academy.practice.models import PracticeSession
    from academy.web.heads import HeadSheet, HeadView

# Both sides together show all seven zones.
VIEWS_SHOWN = ("left", "right")


def small_heads(zones: Iterable[str]) -> tuple[HeadView, ...]:
    """Two small drawings beside the words of the zones; too small for words of their own."""
    chosen = {Zone(zone): "sel" for zone in zones}
    return head_views(Drawing(states=chosen, labels=False), VIEWS_SHOWN)


def worked_on(session: PracticeSession) -> HeadSheet:
    """The zones of a session on the head, and how often each was worked on in the module."""
    module = session.module_version.module
    often, named = queries.zones_practised(session.apprentice, module)
    here = [Zone(zone) for zone in session.zones]
    drawing = Drawing(
        states=dict.fromkeys(here, "sel"),
        state_words={"sel": str(_("worked on"))},
        values={zone: f"{count} of {named}" for zone, count in often.items()},
    )
    rows = [
        Row(
            zone.value,
            zone_title(zone),
            [
                in_percent(SHEET_ZONES.shares[zone]),
                str(_("worked on")) if zone in here else "",
                drawing.values.get(zone, ""),
            ],
        )
        for zone in Zone
        if zone in here or zone in often
    ]
    columns = [
        Column(_("Zone")),
        Column(_("Share of hair"), _("{} of the hair"), figure=True),
        Column(_("This session")),
        Column(_("All sessions of the module"), _("in {} sessions")),
    ]
    return head_sheet(drawing, HeadTable("zone", _("Zones worked on"), columns, rows))


def caution_texts(version: ModuleVersion) -> list[str]:
    """The module's own cautions; the one for every sheet stands under them by itself."""
    return [c.text for c in cautions() if c.id in version.cautions and not c.everywhere]


def form_page(acting: Acting, version: ModuleVersion, form: SessionForm) -> dict[str, Any]:
    known = {zone.value for zone in Zone}
    zones = [zone for zone in form.chosen_zones if zone in known]
    return {
        "form": form,
        "version": version,
        "views": small_heads(zones),
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
        "head": worked_on(session) if session.zones else None,
        "progress": queries.progress_of(session.apprentice, session.module_version),
        "history": sentences.render(history),
    }
