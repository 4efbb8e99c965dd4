from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from academy.craft.judging.marking import Criterion, JudgedZone, Marking, Scope
from academy.craft.judging.outcome import outcome

PAGE = (Path(__file__).parents[3] / "docs" / "outcome.md").read_text(encoding="utf-8")


def test_the_example_of_the_page_comes_out_as_it_says() -> None:
    zones = {"top": ("0.157", 3, 2), "occipital": ("0.357", 3, 3), "nape": ("0.095", 3, 2)}
    marking = Marking(
        criteria=(
            Criterion("C1", "Sectioning", Scope.ZONES, must_pass=True),
            Criterion("C2", "Tension", Scope.ZONES, weight=Decimal(2)),
            Criterion("C3", "Record", Scope.HEAD),
        ),
        zones=tuple(JudgedZone(zone, zone, Decimal(share)) for zone, (share, *_) in zones.items()),
        marks={
            **{("C1", zone): level for zone, (_, level, _) in zones.items()},
            **{("C2", zone): level for zone, (_, _, level) in zones.items()},
            ("C3", None): 2,
        },
        rating=4,
        minutes_used=75,
        minutes_allowed=60,
    )
    result = outcome(marking)
    said = [line.removeprefix("- ") for line in PAGE.splitlines() if line.startswith("- ")]
    assert [reason.sentence for reason in result.reasons] == said
    assert float(result.criterion_marks[1].mark) == pytest.approx(2.586, abs=5e-4)
    assert result.head_mark == Decimal("63.578")
    assert result.figures is not None
    assert f'"{result.figures.head_mark}"' in PAGE
