"""What the check that is packed refuses, whoever made the files."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from academy.craft.proof.merkle import leaf_hash, tree_of
from academy.reports.packs import check_pack

if TYPE_CHECKING:
    from pathlib import Path

LEAVES = [leaf_hash(bytes([number])) for number in range(7)]


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Checkpoints of 3 and of 7 entries with the proof that the one continues the other."""
    tree = tree_of(LEAVES)
    for folder in ("checkpoints", "consistency"):
        (tmp_path / folder).mkdir()
    for size in (3, 7):
        said = {"size": size, "root": tree_of(LEAVES[:size]).root().hex()}
        (tmp_path / f"checkpoints/{size}.json").write_text(json.dumps(said))
    proof = {"proof": [step.hex() for step in tree.consistency(3)]}
    (tmp_path / "consistency/3-7.json").write_text(json.dumps(proof))
    monkeypatch.setattr(check_pack, "RECORD", tmp_path)
    return tmp_path


def test_a_checkpoint_is_of_the_size_that_its_name_says(record: Path) -> None:
    assert check_pack.checkpoint(7)["size"] == 7
    (record / "checkpoints/7.json").write_text((record / "checkpoints/3.json").read_text())
    with pytest.raises(ValueError, match="checkpoint 7 speaks of 3 entries"):
        check_pack.checkpoint(7)


@pytest.mark.parametrize("index", [-1, 7, 8, 2**20])
def test_an_entry_outside_its_checkpoint_is_refused(index: int) -> None:
    with pytest.raises(ValueError, match="lies outside a checkpoint of 7 entries"):
        check_pack.path_root(LEAVES[0], index, 7, tree_of(LEAVES).inclusion(0))


@pytest.mark.parametrize("index", range(7))
def test_every_entry_within_it_leads_to_its_root(index: int) -> None:
    tree = tree_of(LEAVES)
    found = check_pack.path_root(LEAVES[index], index, 7, tree.inclusion(index))
    assert found == tree.root()


def test_an_earlier_checkpoint_needs_its_proof(record: Path) -> None:
    check_pack.later_only_adds(3, 7)
    with pytest.raises(ValueError, match="not later"):
        check_pack.later_only_adds(7, 3)
    (record / "consistency/3-7.json").unlink()
    with pytest.raises(FileNotFoundError):
        check_pack.later_only_adds(3, 7)
