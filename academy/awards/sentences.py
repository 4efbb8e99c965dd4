"""How entries about certificates read."""

from __future__ import annotations

from academy.audit import sentences
from academy.awards.models import Certificate


def install() -> None:
    sentences.register("awards.certificate.issued", "{actor} issued {subject}")
    sentences.register("awards.certificate.withdrawn", "{actor} withdrew {subject}")
    sentences.register(
        "awards.certificate.lapsed", "{subject} lapsed: {actor} overturned a sign-off it rests on"
    )
    sentences.resolve("awards.certificate", _certificates)


def _certificates(ids: set[sentences.Value]) -> dict[sentences.Value, str]:
    rows = Certificate.objects.filter(pk__in=ids).select_related("holder")
    return {
        row.pk: f"certificate {row.number:04d}, {row.award_title}, for {row.holder}" for row in rows
    }
