"""Merkle trees against the files of a reference implementation, read where they lie.

Source: transparency-dev/merkle 417fb0c, `testdata` (Apache-2.0): trees, inclusion proofs and
consistency proofs, good ones and wrong ones (`tests.published.standards`).
"""

from __future__ import annotations

import json
from base64 import b64decode
from typing import Any

import pytest

from academy.craft.proof.errors import ProofError
from academy.craft.proof.merkle import (
    EMPTY_ROOT,
    Edge,
    consistent,
    included,
    leaf_hash,
    node_hash,
    tree_of,
)
from tests.published import standards


def read(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(standards.read("merkle", name))
    return found


def cases(kind: str) -> list[dict[str, Any]]:
    found = sorted(name for name in standards.names("merkle") if name.startswith(f"{kind}/"))
    return [{"name": name, **read(name)} for name in found]


def proof_of(case: dict[str, Any]) -> list[bytes]:
    return [b64decode(step) for step in case["proof"] or []]


def test_every_file_of_the_reference_is_read_here() -> None:
    proofs = {case["name"] for kind in ("inclusion", "consistency") for case in cases(kind)}
    here = proofs | {"hasher.json", "ct_reference_tree.json"}
    assert standards.names("merkle") == standards.listed("merkle") == here


def test_hashes_of_leaves_and_nodes_are_the_published_ones() -> None:
    known = read("hasher.json")
    assert EMPTY_ROOT.hex() == known["empty_root"]
    assert leaf_hash(b"").hex() == known["leaf_empty"]
    assert leaf_hash(b"L123456").hex() == known["leaf_L123456"]
    assert node_hash(b"N123", b"N456").hex() == known["node_N123_N456"]


def test_the_published_tree_has_its_root_at_every_size() -> None:
    known = read("ct_reference_tree.json")
    leaves = [leaf_hash(bytes.fromhex(leaf)) for leaf in known["leaves_hex"]]
    for size, root in enumerate(known["roots_hex_by_size"]):
        assert tree_of(leaves[:size]).root().hex() == root
        assert Edge().grown(leaves[:size])[0].root.hex() == root


def test_every_published_inclusion_proof_is_judged_as_published() -> None:
    found = cases("inclusion")
    wrong = [
        case["name"]
        for case in found
        if included(
            leaf=b64decode(case["leafHash"]),
            index=case["leafIdx"],
            size=case["treeSize"],
            proof=proof_of(case),
            root=b64decode(case["root"] or ""),
        )
        is bool(case["wantErr"])
    ]
    assert wrong == []
    assert len(found) >= 70


def test_every_published_consistency_proof_is_judged_as_published() -> None:
    found = [case for case in cases("consistency") if case["size1"]]
    wrong = [case["name"] for case in found if judged(case) is bool(case["wantErr"])]
    assert wrong == []
    assert len(found) >= 50


def test_an_earlier_tree_without_leaves_is_an_error() -> None:
    found = [case for case in cases("consistency") if not case["size1"]]
    assert found
    for case in found:
        assert case["wantErr"], case["name"]
        with pytest.raises(ProofError, match="Compare from 1"):
            judged(case)


def judged(case: dict[str, Any]) -> bool:
    return consistent(
        old_size=case["size1"],
        new_size=case["size2"],
        old_root=b64decode(case["root1"] or ""),
        new_root=b64decode(case["root2"] or ""),
        proof=proof_of(case),
    )


def test_our_own_proofs_of_the_published_tree_are_the_published_ones() -> None:
    known = read("ct_reference_tree.json")
    leaves = [leaf_hash(bytes.fromhex(leaf)) for leaf in known["leaves_hex"]]
    for case in cases("inclusion"):
        if case["desc"] == "happy path" and case["treeSize"] <= len(leaves):
            made = tree_of(leaves[: case["treeSize"]]).inclusion(case["leafIdx"])
            assert made == proof_of(case), case["name"]
    for case in cases("consistency"):
        if case["desc"] == "happy path" and case["size1"]:
            made = tree_of(leaves[: case["size2"]]).consistency(case["size1"])
            assert made == proof_of(case), case["name"]
