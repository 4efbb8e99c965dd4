"""Places of the 10-20 system on a head: every tenth of the arcs between its marks."""

from __future__ import annotations

import numpy as np

from academy.craft.head.lines import along_mm, clipped_longest
from academy.craft.head.shape import Floats, Head
from tests.published.head_rows import rows

SCANNED_HEAD = Head(211.54, 169.06, 140.46)  # of the package's head surface
PLACES: dict[str, Floats] = {
    row["label"]: np.array([float(row[axis]) for axis in "xyz"]) for row in rows("electrodes")
}
_NASION_Z = float(PLACES["Nz"][2])


def arc(head: Head, start: Floats, over: Floats, end: Floats) -> Floats:
    """The line (n, 3) from start over a third place to end, in the plane through the three."""
    normal = np.cross(over - start, end - start)
    normal /= np.linalg.norm(normal)
    middle, first = (start + end) / 2, (start - end) / np.linalg.norm(start - end)
    second = np.cross(normal, first)
    second *= np.sign(second @ (over - middle))
    turn = np.linspace(-0.6, np.pi + 0.6, 4001)[:, None]
    line = head.ray(middle, np.cos(turn) * first + np.sin(turn) * second)
    begin, stop = (int(np.linalg.norm(line - at, axis=1).argmin()) for at in (start, end))
    return line[begin : stop + 1]


def _tenths(line: Floats, labels: str) -> dict[str, Floats]:
    along = along_mm(line)
    shares = np.linspace(0, 1, 11)[1:-1] * along[-1]
    p = np.stack([np.interp(shares, along, line[:, axis]) for axis in range(3)], 1)
    return dict(zip(labels.split(), p, strict=True))


def _quarters(line: Floats, near: str, far: str) -> dict[str, Floats]:
    along = along_mm(line)
    return {
        label: np.array([np.interp(share * along[-1], along, line[:, axis]) for axis in range(3)])
        for label, share in ((near, 0.25), (far, 0.75))
    }


def placed(head: Head) -> dict[str, Floats]:
    """Places (3,) by label on a head's own nasion, inion and tragions, by the percent rule."""
    ears = head.ear_plane_curve(0.0, 721)
    ears = clipped_longest(ears, ears[:, 2] - head.tragion_z)
    nasion, inion = head.ring(_NASION_Z, 0.0), head.ring(head.inion_z, 180.0)
    midline = arc(head, nasion, head.surface(0.0, 90.0), inion)
    found = _tenths(midline, "Fpz AFz Fz FCz Cz CPz Pz POz Oz")
    across = arc(head, ears[0], found["Cz"], ears[-1])
    found |= _tenths(across, "T7 C5 C3 C1 Cz C2 C4 C6 T8")
    front = arc(head, found["T7"], found["Fpz"], found["T8"])
    found |= _tenths(front, "FT7 F7 AF7 Fp1 Fpz Fp2 AF8 F8 FT8")
    back = arc(head, found["T7"], found["Oz"], found["T8"])
    found |= _tenths(back, "TP7 P7 PO7 O1 Oz O2 PO8 P8 TP8")
    found |= _quarters(arc(head, found["F7"], found["Fz"], found["F8"]), "F3", "F4")
    return found | _quarters(arc(head, found["P7"], found["Pz"], found["P8"]), "P3", "P4")
