"""How fast a whole head sheet is drawn, beside the reference code, in the same run.

    python benchmarks/head_sheet.py [folder of the reference]

For each pattern: five views of the plan at 6/6 mm, from outlines that are loaded already, by the
reference (which keeps nothing), by us when the plan is new (nothing of it drawn before), with the
hidden partings as a module page has them, and when it was drawn before. Seconds are those of the
processor, the best of rounds in which they take turns, so that others may work on the machine;
garbage is collected between patterns only. The plan itself is worked out before and not timed.
Then what the sheets weigh. The reference is found at HEAD_REFERENCE or ../shared/prototypes/head.
"""

from __future__ import annotations

import dataclasses
import gc
import gzip
import os
import sys
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from academy.craft.head.foils import plan  # noqa: E402  (found by the path above)
from academy.craft.head.sectioning import FoilSettings  # noqa: E402
from academy.craft.head.svg import Drawing, view_svgs  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Callable

# Our key: the reference's.
PATTERNS = {
    "half_head": "half head",
    "full_head": "full head",
    "t_section": "T-section",
    "horseshoe": "horseshoe",
    "diamond": "diamond",
}
ROUNDS = 40
AIM, AIMED = 5.0, ("half_head", "full_head")  # times as fast as the reference, drawn as new


def reference(folder: Path) -> dict[str, Callable[[], object]]:
    """What draws each pattern's sheet with the reference code, its plan worked out."""
    sys.path.insert(0, str(folder))
    modules: dict[str, Any] = {
        name: __import__(name) for name in ("head", "zones", "sectioning", "sheet")
    }
    zones = modules["zones"].Zones(modules["head"].TRAINING_HEAD)
    settings = modules["sectioning"].Settings()
    sheet = modules["sheet"]

    def drawer(laid: Any) -> Callable[[], object]:
        return lambda: sheet.view_svgs(sheet.Drawing.of(laid))

    lay = modules["sectioning"].plan
    return {key: drawer(lay(name, zones, settings)) for key, name in PATTERNS.items()}


def seconds(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main(folder: Path) -> None:
    drawers = reference(folder)
    gc.disable()
    print(
        f"{'pattern':12}{'foils':>6} {'reference':>10} {'new':>9} {'ratio':>6} "
        f"{'+ partings':>10} {'ratio':>6} {'again':>9} {'ratio':>7} {'bytes':>7} {'packed':>7}"
    )
    slowest = 1e9
    for key in PATTERNS:
        laid = plan(key, FoilSettings())
        kept = Drawing(plan=laid, partings=True, labels=False)
        packed = "".join(view_svgs(kept).values()).encode()
        drawers[key]()
        gc.collect()
        times: dict[str, list[float]] = {"reference": [], "new": [], "partings": [], "again": []}
        for number in range(ROUNDS):
            # Plans are equal only when they are the same object: a copy is drawn from nothing.
            new = Drawing(plan=dataclasses.replace(laid), labels=False)
            full = Drawing(plan=dataclasses.replace(laid), partings=True, labels=False)
            turns: dict[str, Callable[[], object]] = {
                "reference": drawers[key],
                "new": partial(view_svgs, new),
                "partings": partial(view_svgs, full),
                "again": partial(view_svgs, kept),
            }
            # Every other round backwards: whoever comes after the reference finds cold caches.
            for name in reversed(turns) if number % 2 else turns:
                times[name].append(seconds(turns[name]))
        ms = {name: 1000 * min(rows) for name, rows in times.items()}
        ratio = {name: ms["reference"] / ms[name] for name in ms}
        if key in AIMED:
            slowest = min(slowest, ratio["new"])
        print(
            f"{key:12}{len(laid.foils):6d} {ms['reference']:7.2f} ms {ms['new']:6.2f} ms "
            f"{ratio['new']:6.1f} {ms['partings']:7.2f} ms {ratio['partings']:6.1f} "
            f"{ms['again']:6.3f} ms {ratio['again']:7.0f} {len(packed):7d} "
            f"{len(gzip.compress(packed)):7d}"
        )
    print(f"half head and full head, drawn as new: at least {slowest:.1f} times, aim {AIM:.0f}")


if __name__ == "__main__":
    given = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("HEAD_REFERENCE", "")
    main(Path(given) if given else ROOT.parent / "shared" / "prototypes" / "head")
