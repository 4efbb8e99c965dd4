"""What a cohort and an apprentice did and lost, on the head, with the same facts as a table."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from academy.assessment.models import Mark
from academy.craft.head.sheet import SHEET_ZONES
from academy.craft.head.svg import Drawing, Fault
from academy.craft.head.zones import Zone
from academy.craft.judging.scale import Level
from academy.curriculum.content import Scope
from academy.web.heads import Column, HeadTable, Row, head_sheet, in_percent, zone_title

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from academy.assessment.models import Assessment, FaultMark
    from academy.reports.cohorts import Losses
    from academy.web.heads import HeadSheet


def lost_by_zone(assessments: Sequence[Assessment]) -> dict[Zone, float]:
    """Share of available marks lost in each zone of these heads, criteria weighted. One query."""
    lost: dict[Zone, float] = defaultdict(float)
    most: dict[Zone, float] = defaultdict(float)
    marks = Mark.objects.filter(assessment__in=assessments, criterion__scope=Scope.ZONES.value)
    for zone, level, weight in marks.values_list("zone", "level", "criterion__weight"):
        lost[Zone(zone)] += weight * (Level.SURE - level)
        most[Zone(zone)] += weight * Level.SURE
    return {zone: lost[zone] / most[zone] for zone in most}


def losses_sheet(losses: Losses) -> HeadSheet:
    """Where a group loses marks: heat, and for each zone what costs most and why."""
    drawing = Drawing(heat={row.zone: row.share for row in losses.zones})
    rows = [
        Row(
            row.zone.value,
            zone_title(row.zone),
            [
                in_percent(row.share),
                str(row.heads),
                row.criterion or str(_("none")),
                row.fault or str(_("none marked")),
                row.cause,
            ],
        )
        for row in losses.zones
    ]
    columns = [
        Column(_("Zone")),
        Column(_("Lost"), _("{} of marks lost"), figure=True),
        Column(_("Heads"), _("on {} heads"), figure=True),
        Column(_("Criterion that costs most"), _("most by: {}")),
        Column(_("Commonest fault"), _("commonest fault: {}")),
        Column(_("Likely cause"), _("likely cause: {}")),
    ]
    return head_sheet(drawing, HeadTable("zone", _("Marks lost by zone"), columns, rows))


def assessed_sheet(lost: Mapping[Zone, float], faults: Sequence[FaultMark]) -> HeadSheet | None:
    """The marks lost on one person's assessed heads, and every fault; None with neither."""
    if not lost and not faults:
        return None
    drawing = Drawing(
        heat=lost,
        faults=[
            Fault(number, float(mark.azimuth_deg), float(mark.elevation_deg), mark.words)
            for number, mark in enumerate(faults, 1)
        ],
    )
    return head_sheet(drawing)


def practised_sheet(often: Mapping[Zone, int], sessions: int) -> HeadSheet | None:
    """In how many of the sessions that name zones each was worked on; None without any."""
    if not sessions:
        return None
    drawing = Drawing(
        states=dict.fromkeys(often, "done"),
        state_words={"done": str(_("practised"))},
        values={zone: f"{count} of {sessions}" for zone, count in often.items()},
    )
    rows = [
        Row(
            zone.value,
            zone_title(zone),
            [in_percent(SHEET_ZONES.shares[zone]), drawing.values.get(zone, "")],
        )
        for zone in Zone
    ]
    columns = [
        Column(_("Zone")),
        Column(_("Share of hair"), _("{} of the hair"), figure=True),
        Column(_("Sessions"), _("in {} sessions"), figure=True),
    ]
    return head_sheet(drawing, HeadTable("zone", _("Zones practised"), columns, rows))
