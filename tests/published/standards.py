"""Where the published test files of standards lie, and that they are the ones that were listed.

They lie in `../shared/checks` beside the project, or where BLOCKWORK_CHECKS says. Where they are
missing a test is skipped and says so, or fails where everything is demanded.
"""

from __future__ import annotations

import csv
import os
from functools import cache
from hashlib import sha256
from pathlib import Path

from tests.conftest import missing

BESIDE = Path(__file__).parents[2].parent / "shared" / "checks"
STANDARDS = Path(os.environ.get("BLOCKWORK_CHECKS", BESIDE)) / "standards"


def read(topic: str, name: str) -> bytes:
    """A file of a topic, byte for byte as its list of sums says; `name` is its path below it."""
    path = STANDARDS / topic / name
    if not path.is_file():
        missing(f"No {topic} file at {path}. BLOCKWORK_CHECKS names the folder of checks.")
    content = path.read_bytes()
    assert sha256(content).hexdigest() == _sums()[topic, name], f"{path} is another file."
    return content


def names(topic: str) -> set[str]:
    """Every file that lies below a topic."""
    folder = STANDARDS / topic
    if not folder.is_dir():
        missing(f"No {topic} files at {folder}. BLOCKWORK_CHECKS names the folder of checks.")
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def listed(topic: str) -> set[str]:
    """Every file that the list names for a topic."""
    return {name for at, name in _sums() if at == topic}


@cache
def _sums() -> dict[tuple[str, str], str]:
    text = (STANDARDS / "MANIFEST.csv").read_text(encoding="utf-8")
    return {(row["topic"], row["file"]): row["sha256"] for row in csv.DictReader(text.splitlines())}
