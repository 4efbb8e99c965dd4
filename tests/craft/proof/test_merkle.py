from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from academy.craft.proof.errors import ProofError
from academy.craft.proof.merkle import (
    CHUNK,
    Edge,
    Tree,
    consistent,
    included,
    leaf_hash,
    node_hash,
    tree_of,
)

LEAVES = [leaf_hash(b"%d" % number) for number in range(3 * CHUNK + 7)]
SIZES = st.integers(1, 70)


def recursive_root(leaves: list[bytes]) -> bytes:
    """RFC 6962, 2.1, word for word."""
    if len(leaves) == 1:
        return leaves[0]
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    return node_hash(recursive_root(leaves[:split]), recursive_root(leaves[split:]))


@given(SIZES)
def test_the_edge_and_the_tree_have_the_root_of_the_definition(size: int) -> None:
    root = recursive_root(LEAVES[:size])
    assert Edge().grown(LEAVES[:size])[0].root == root
    assert tree_of(LEAVES[:size]).root() == root


@given(st.integers(0, len(LEAVES)), st.integers(0, len(LEAVES)))
def test_an_edge_that_grows_in_two_parts_is_the_edge_that_grew_at_once(a: int, b: int) -> None:
    first, last = sorted((a, b))
    half, early = Edge().grown(LEAVES[:first])
    whole, late = half.grown(LEAVES[first:last])
    once, chunks = Edge().grown(LEAVES[:last])
    assert whole == once
    assert early + late == chunks
    assert len(chunks) == last // CHUNK


def test_kept_chunks_are_the_roots_of_their_leaves() -> None:
    _, chunks = Edge().grown(LEAVES)
    assert chunks[1] == recursive_root(LEAVES[CHUNK : 2 * CHUNK])


@given(SIZES, st.data())
def test_a_proof_of_inclusion_is_accepted_for_its_leaf_alone(
    size: int, data: st.DataObject
) -> None:
    index, other = data.draw(st.integers(0, size - 1)), data.draw(st.integers(0, size - 1))
    tree = tree_of(LEAVES[:size])
    proof, root = tree.inclusion(index), tree.root()
    assert included(leaf=LEAVES[index], index=index, size=size, proof=proof, root=root)
    if other != index:
        assert not included(leaf=LEAVES[other], index=index, size=size, proof=proof, root=root)
        assert not included(leaf=LEAVES[index], index=other, size=size, proof=proof, root=root)


@given(SIZES, SIZES)
def test_a_proof_of_consistency_is_for_its_two_trees_alone(a: int, b: int) -> None:
    old, new = sorted((a, b))
    earlier, later = tree_of(LEAVES[:old]), tree_of(LEAVES[:new])
    proof = later.consistency(old)

    def judged(old_root: bytes, new_root: bytes) -> bool:
        return consistent(
            old_size=old, new_size=new, old_root=old_root, new_root=new_root, proof=proof
        )

    forged = tree_of([*LEAVES[: new - 1], leaf_hash(b"forged")]).root()
    assert judged(earlier.root(), later.root())
    assert not judged(earlier.root(), forged)
    if old < new:
        assert not judged(leaf_hash(b"forged"), later.root())


def test_a_tree_can_be_proved_from_chunks_and_the_leaves_of_one() -> None:
    _, chunks = Edge().grown(LEAVES)
    asked: list[tuple[int, int]] = []

    def subtree(start: int, count: int) -> bytes:
        if count >= CHUNK:
            return Edge().grown(chunks[start // CHUNK : (start + count) // CHUNK])[0].root
        asked.append((start // CHUNK, count))
        return Edge().grown(LEAVES[start : start + count])[0].root

    tree = Tree(len(LEAVES), subtree)
    proof = tree.inclusion(300)
    assert included(
        leaf=LEAVES[300], index=300, size=len(LEAVES), proof=proof, root=tree_of(LEAVES).root()
    )
    assert {chunk for chunk, _ in asked} == {1, 3}, "its own chunk and the one that is not full"


def test_what_cannot_be_proved_is_refused_with_a_sentence() -> None:
    tree = tree_of(LEAVES[:5])
    with pytest.raises(ProofError, match="no leaf 5 in a tree of 5"):
        tree.inclusion(5)
    for old in (0, 6):
        with pytest.raises(ProofError, match="at least one leaf"):
            tree.consistency(old)
    with pytest.raises(ProofError, match="3 leaves does not have 1 peaks"):
        Edge(3, (LEAVES[0],))
