"""How fast plans are laid, beside the reference code where it is at hand, in the same run.

    python benchmarks/head_plan.py [folder of the reference]

Each pattern on the mean woman's head at 6/6 mm: cold (nothing kept), then with the measured
sections kept, as after a change of spacing; and the range of foils in both ways. The ratio is
the reference's time over ours; the better of several runs on both sides, by the processor's clock.
The reference has no range; the comparison is three plans of it, 1 mm wider and narrower.
Without the reference (by default ../shared/prototypes/head) only our times are shown.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from academy.craft.head import borders, fields, foils, hairlines, measuring, plans, zones  # noqa: E402
from academy.craft.head.sectioning import FoilSettings  # noqa: E402  (found by the path above)
from academy.craft.head.shape import FEMALE_MEAN  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Callable

RUNS = 15
PATTERNS = {
    "full_head": "full head",
    "half_head": "half head",
    "t_section": "T-section",
    "diamond": "diamond",
    "horseshoe": "horseshoe",
    "face_frame": "face frame",
}
SPACINGS = (6.0, 7.0, 5.0)


def kept_by(*modules: Any) -> list[Any]:
    """Every lru_cache that modules define."""
    return [
        value
        for module in modules
        for value in vars(module).values()
        if hasattr(value, "cache_clear") and value.__module__ == module.__name__
    ]


OURS = kept_by(borders, fields, plans, foils, hairlines, measuring, zones)
PLANS = kept_by(foils)


def best(work: Callable[[], object], before: Callable[[], object]) -> float:
    """Milliseconds of the fastest of RUNS, each after `before`."""
    fastest = float("inf")
    for _ in range(RUNS):
        before()
        gc.collect()
        begun = time.process_time()
        work()
        fastest = min(fastest, time.process_time() - begun)
    return 1000 * fastest


def clear(caches: list[Any]) -> Callable[[], None]:
    def forget() -> None:
        for cache in caches:
            cache.cache_clear()

    return forget


@dataclass
class Reference:
    """The reference's plan by pattern and spacing; it keeps only its zones."""

    head: Any
    sectioning: Any
    zones: Any

    def plan(self, key: str, *spacings: float) -> Callable[[], object]:
        def work() -> None:
            place = self.zones.Zones(self.head.FEMALE_MEAN)
            for left in spacings:
                settings = self.sectioning.Settings(left_mm=left)
                self.sectioning.plan(PATTERNS[key], place, settings)

        return work

    def plan_on(self, place: Any, key: str, *spacings: float) -> Callable[[], object]:
        def work() -> None:
            for left in spacings:
                settings = self.sectioning.Settings(left_mm=left)
                self.sectioning.plan(PATTERNS[key], place, settings)

        return work


def reference(folder: Path) -> Reference | None:
    """The reference's modules, None where they are not at hand."""
    if not (folder / "sectioning.py").exists():
        return None
    sys.path.insert(0, str(folder))
    import head  # type: ignore[import-not-found] # noqa: PLC0415  (found by its folder)
    import sectioning  # type: ignore[import-not-found] # noqa: PLC0415
    import zones as places  # type: ignore[import-not-found] # noqa: PLC0415

    return Reference(head, sectioning, places)


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT.parent / "shared/prototypes/head"
    other = reference(folder)
    there = other.zones.Zones(other.head.FEMALE_MEAN) if other else None
    theirs = kept_by(other.head, other.sectioning, other.zones) if other else []
    print(
        "ms (reference over ours)  plan, cold      plan, sections kept  range, cold     range, kept"
    )
    for key in PATTERNS:
        settings = FoilSettings()

        def plan(key: str = key, settings: FoilSettings = settings) -> object:
            return foils.plan(key, settings, head=FEMALE_MEAN)

        def span(key: str = key, settings: FoilSettings = settings) -> object:
            return foils.foil_range(key, settings, head=FEMALE_MEAN)

        ours = [
            best(plan, clear(OURS)),
            best(plan, clear(PLANS)),
            best(span, clear(OURS)),
            best(span, clear(PLANS)),
        ]
        if other:
            cold, warm = clear(theirs), clear([])
            known = [
                best(other.plan(key, 6.0), cold),
                best(other.plan_on(there, key, 6.0), warm),
                best(other.plan(key, *SPACINGS), cold),
                best(other.plan_on(there, key, *SPACINGS), warm),
            ]
            cells = [f"{one:6.2f} ({two / one:4.1f})" for one, two in zip(ours, known, strict=True)]
        else:
            cells = [f"{one:6.2f}" for one in ours]
        print(f"{key:24}  " + "   ".join(cells))


if __name__ == "__main__":
    main()
