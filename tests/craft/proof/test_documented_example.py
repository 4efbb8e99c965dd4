from __future__ import annotations

import re
from pathlib import Path

from academy.craft.proof.canonical import canonical, parse
from academy.craft.proof.chain import entry_hash, genesis

PAGE = (Path(__file__).parents[3] / "docs" / "record.md").read_text(encoding="utf-8")


def test_the_entry_of_the_page_has_the_hashes_it_says() -> None:
    found = re.search(r"```json\n(.*)\n```", PAGE)
    assert found is not None
    entry = found[1].encode()
    assert canonical(parse(entry)) == entry
    assert f"{len(entry)} bytes" in PAGE
    assert f"| hash(0) | `{genesis(1).hex()}` |" in PAGE
    assert f"| hash(1) | `{entry_hash(genesis(1), entry).hex()}` |" in PAGE
