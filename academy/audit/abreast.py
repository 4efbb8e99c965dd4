"""Following a long stretch with every processor: its parts go ahead in processes of their own.

Each part begins at the hash that is stored before it. What it found counts only where the part
before it ends at that very hash; otherwise, and from where a part met something that does not
fit, the stretch is followed here. So a part can save time and can never hide a fault.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import IO, TYPE_CHECKING, Final, Self, cast

from django.db import connections, router

from academy.audit.following import follow
from academy.audit.models import Entry
from academy.audit.models.checkpoints import hashes
from academy.audit.part import Answer, Asked, Stop
from academy.audit.places import Followed, Place
from academy.craft.proof.chain import genesis
from academy.craft.proof.merkle import CHUNK, Edge

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST: Final = 50_000
"""Entries that are worth a process: it takes about as long to start as these take to follow."""


class Abreast:
    """A stretch of an academy's chain from `start` with stops, the last of which ends it.

    Used as a context, which begins the processes and ends them.
    """

    def __init__(self, academy_id: int, start: Place, stops: Sequence[int]) -> None:
        self._academy_id = academy_id
        self._parts = _begun(academy_id, start, stops, tree=start.edge is not None)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for part in self._parts:
            part.close()

    def follow(self, place: Place, stop: int) -> Followed:
        """Follow from a place to the next stop; places and stops come in their order."""
        for part in self._parts:
            if place.sequence <= part.after < stop:
                if place.sequence < part.after:
                    found = follow(self._academy_id, place, part.after)
                    if found.broken or found.place.sequence < part.after:
                        return found
                    place = found.place
                part.meet(place)
            if part.after <= place.sequence < part.end:
                place = part.place_at(min(stop, part.end), place) or place
        if place.sequence == stop:
            return Followed(place)
        return follow(self._academy_id, place, stop)


class _Part:
    """One process, from the entry `after` on, whose hash was stored as `head`."""

    def __init__(self, asked: Asked) -> None:
        self.after, self.end = asked["after"], asked["stops"][-1]
        self._head = bytes.fromhex(asked["head"])
        self._process = subprocess.Popen(
            [sys.executable, "-m", "academy.audit.part"],
            cwd=Path(__file__).parents[2],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        with cast("IO[bytes]", self._process.stdin) as stdin:
            stdin.write(json.dumps(asked).encode())
        self._process.stdin = None
        self._stops: dict[int, Stop] | None = None
        self._chunks: list[bytes] = []
        # The tree at the last whole chunk so far; the chunks from there on.
        self._edge: Edge | None = None
        self._met = False

    def meet(self, place: Place) -> None:
        """The chain was followed to where this part begins."""
        self._met, self._edge = place.head == self._head, place.edge

    def place_at(self, stop: int, place: Place) -> Place | None:
        """The next stop after `place`, where the process reached it."""
        reached = self._reached().get(stop) if self._met else None
        if reached is None:
            return None
        head = bytes.fromhex(reached["head"])
        if self._edge is None:
            return Place(stop, head)
        new = (stop - self._edge.size) // CHUNK
        completed, self._chunks = self._chunks[:new], self._chunks[new:]
        self._edge = self._edge.grown_by_chunks(completed)
        edge, _ = self._edge.grown(hashes(bytes.fromhex(reached["leaves"])))
        return Place(stop, head, edge, (*place.chunks, *completed))

    def close(self) -> None:
        self._process.kill()
        self._process.wait()
        cast("IO[bytes]", self._process.stdout).close()

    def _reached(self) -> dict[int, Stop]:
        if self._stops is None:
            said, _ = self._process.communicate()
            # One that failed said so in the log and reached nothing: that is followed here.
            answer = json.loads(said) if said else Answer(reached=[], chunks="")
            self._stops = {stop["sequence"]: stop for stop in answer["reached"]}
            self._chunks = hashes(bytes.fromhex(answer["chunks"]))
        return self._stops


def _begun(academy_id: int, start: Place, stops: Sequence[int], *, tree: bool) -> list[_Part]:
    """A process for each processor, where the stretch is long and the file is on disk.

    None of them is this one: Django's way to the rows takes longer than theirs.
    """
    connection = connections[router.db_for_read(Entry)]
    path = Path(str(connection.settings_dict["NAME"]))
    length = stops[-1] - start.sequence
    many = min(len(os.sched_getaffinity(0)), length // LEAST)
    if connection.vendor != "sqlite" or not path.is_file() or many < 2:
        return []
    parts: list[_Part] = []
    whole = -(-start.sequence // CHUNK)
    begins = [(whole + length // CHUNK * n // many) * CHUNK for n in range(many)]
    for after, end in zip(begins, [*begins[1:], stops[-1]], strict=True):
        entry = Entry.objects.filter(academy_id=academy_id, sequence=after)
        head = entry.values_list("hash", flat=True).first() if after else genesis(academy_id)
        if head is None:
            return parts
        asked = Asked(
            path=str(path),
            academy=academy_id,
            after=after,
            head=bytes(head).hex(),
            stops=[stop for stop in (*stops[:-1], end) if after < stop <= end],
            tree=tree,
        )
        parts.append(_Part(asked))
    return parts
