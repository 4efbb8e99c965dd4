"""Checks an evidence pack with nothing but Python, and OpenSSL for the signatures.

    python3 check.py

Run it in the folder of the unpacked files. It trusts nothing in the pack but the public keys:
compare their names with those on the academy's public page of the record, or on your own copy.
"""

from __future__ import annotations

import csv
import hashlib
import json
import shutil
import subprocess  # OpenSSL has the signatures; Python alone has none
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
RECORD = HERE / "record"
UNLISTED = {"SHA256SUMS", "SHA256SUMS.sig", "SHA256SUMS.key"}


def demand(fact: object, otherwise: str) -> None:
    if not fact:
        raise ValueError(otherwise)


def sha(data: bytes) -> bytes:
    return hashlib.sha256(data).digest()


def node(left: bytes, right: bytes) -> bytes:
    return sha(b"\x01" + left + right)


def files_are_those_listed() -> None:
    """Every file has the sum in SHA256SUMS, and no file is there that is not listed."""
    listed = {}
    for line in (HERE / "SHA256SUMS").read_text().splitlines():
        total, name = line.split("  ", 1)
        listed[name] = total
    found = {str(p.relative_to(HERE)) for p in HERE.rglob("*") if p.is_file()}
    extra = sorted(found - set(listed) - UNLISTED)
    demand(not extra, f"not listed: {extra}")
    for name, total in listed.items():
        demand(sha((HERE / name).read_bytes()).hex() == total, f"{name} was changed")


def path_root(leaf: bytes, index: int, size: int, proof: list[bytes]) -> bytes:
    """RFC 9162, 2.1.3.2."""
    demand(0 <= index < size, f"entry {index + 1} lies outside a checkpoint of {size} entries")
    last, found = size - 1, leaf
    for step in proof:
        demand(last, "a proof is too long")
        if index & 1 or index == last:
            found = node(step, found)
            while not index & 1 and index:
                index, last = index >> 1, last >> 1
        else:
            found = node(found, step)
        index, last = index >> 1, last >> 1
    demand(not last, "a proof is too short")
    return found


def entry_is_in_its_checkpoint(entry: Path) -> None:
    data = entry.read_bytes()
    proof = json.loads((RECORD / "proofs" / entry.name).read_text())
    number, size = json.loads(data)["sequence"], proof["size"]
    root = path_root(
        sha(b"\x00" + data), number - 1, size, [bytes.fromhex(step) for step in proof["proof"]]
    )
    held = root.hex() == checkpoint(size)["root"]
    demand(held, f"entry {number} is not in checkpoint {size}")


def later_only_adds(old: int, new: int) -> None:
    """RFC 9162, 2.1.4.2; the two sizes differ."""
    demand(0 < old < new, f"checkpoint {new} is not later than checkpoint {old}")
    proof = json.loads((RECORD / "consistency" / f"{old}-{new}.json").read_text())
    steps = [bytes.fromhex(step) for step in proof["proof"]]
    old_root, new_root = (bytes.fromhex(checkpoint(size)["root"]) for size in (old, new))
    if old & (old - 1) == 0:
        steps = [old_root, *steps]
    index, last = old - 1, new - 1
    while index & 1:
        index, last = index >> 1, last >> 1
    first = second = steps[0]
    for step in steps[1:]:
        if index & 1 or index == last:
            first, second = node(step, first), node(step, second)
            while not index & 1 and index:
                index, last = index >> 1, last >> 1
        else:
            second = node(second, step)
        index, last = index >> 1, last >> 1
    held = not last and (first, second) == (old_root, new_root)
    demand(held, f"checkpoint {new} does not continue checkpoint {old}")


def submissions() -> dict[int, dict[str, Any]]:
    """What the entries of this pack hold of submitted sheets, by the sheet they speak of."""
    found = {}
    for path in (RECORD / "entries").glob("*.json"):
        entry = json.loads(path.read_bytes())
        if entry["action"] == "assessment.assessment.submitted":
            found[entry["subject"][1]] = entry["details"]
    return found


def sheet_is_as_submitted(path: Path, submitted: dict[int, dict[str, Any]]) -> bool:
    """Whether this pack has the entry to compare its figures with; `ValueError` if they differ.

    The figures name every level, the rules and the result; their sum is that of RFC 8785.
    """
    sheet, name = json.loads(path.read_text()), path.parent.name
    figures, said = sheet["rules_and_figures"], sheet["submissions"]
    outcome = figures["outcome"]
    said_twice = [(row["by_marks"], Decimal(row["head_mark"] or 0)) for row in (sheet, outcome)]
    demand(said_twice[0] == said_twice[1], f"sheet {name}: the result is not that of its figures")
    given = [
        [row["criterion"], row["zone"], row["level"]]
        for row in csv.DictReader((path.parent / "levels.csv").read_text().splitlines())
        if row["level"]
    ]
    marks = [[code, zone or "", str(level)] for code, zone, level in figures["marking"]["marks"]]
    demand(sorted(given) == sorted(marks), f"sheet {name}: levels.csv is not as its figures")
    if (entry := submitted.get(said["photos"])) and "photos" in entry:
        photos = [sha(photo.read_bytes()).hex() for photo in path.parent.glob("photo-*.jpg")]
        demand(
            sorted(photos) == sorted(entry["photos"]),
            f"sheet {name}: the photos are not those that were submitted",
        )
    entry = submitted.get(said["figures"])
    if entry is None or "figures" not in entry:
        return False
    spelt = json.dumps(figures, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    demand(
        sha(spelt.encode()).hex() == entry["figures"],
        f"sheet {name}: the figures are not those that were submitted",
    )
    return True


def checkpoint(size: int) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((RECORD / "checkpoints" / f"{size}.json").read_text())
    said = found["size"]
    demand(said == size, f"checkpoint {size} speaks of {said} entries")
    return found


def signatures_hold() -> bool:
    """Whether there was an OpenSSL to ask; `ValueError` where a signature does not hold."""
    openssl = shutil.which("openssl")
    if not openssl:
        return False
    signed = [(HERE / "SHA256SUMS", (HERE / "SHA256SUMS.key").read_text().strip())]
    for path in sorted((RECORD / "checkpoints").glob("*.json")):
        signed += [(path, json.loads(path.read_text())["key"])]
    for path, key in signed:
        signature = path.with_suffix(".sig")
        command = [openssl, "pkeyutl", "-verify", "-pubin", "-rawin"]
        command += ["-inkey", str(HERE / "keys" / f"{key}.pem")]
        command += ["-in", str(path), "-sigfile", str(signature)]
        done = subprocess.run(command, capture_output=True, check=False)  # noqa: S603
        demand(done.returncode == 0, f"the signature of {path.name} does not hold")
    return True


def say(words: str) -> None:
    sys.stdout.write(words + "\n")


def main() -> int:
    try:
        files_are_those_listed()
        entries = sorted((RECORD / "entries").glob("*.json"))
        for entry in entries:
            entry_is_in_its_checkpoint(entry)
        *earlier, newest = sorted(int(p.stem) for p in (RECORD / "checkpoints").glob("*.json"))
        for size in earlier:
            later_only_adds(size, newest)
        submitted = submissions()
        sheets = sorted((HERE / "sheets").glob("*/sheet.json"))
        as_submitted = [sheet_is_as_submitted(path, submitted) for path in sheets]
        asked = signatures_hold()
    except (OSError, ValueError, LookupError, TypeError, ArithmeticError) as trouble:
        say(f"WRONG: {trouble}")
        return 1
    say(f"The files are those that were packed. Entries in their checkpoints: {len(entries)}.")
    say(f"Checkpoints that the newest only added to: {len(earlier)}.")
    say(f"Sheets that are as submitted: {sum(as_submitted)} of {len(sheets)}.")
    if not all(as_submitted):
        say("The pack has no entry for the others, so that they rest on its signature alone.")
    say("The signatures hold." if asked else "Signatures not checked: there is no openssl here.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
