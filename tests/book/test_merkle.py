"""The frontier against the RFC's reference tree and a tree written plainly from the RFC."""

import hashlib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.book.merkle import EMPTY_ROOT, Frontier, leaf_hash

VECTORS = json.loads((Path(__file__).parent.parent / "vectors" / "merkle.json").read_text())


def plain_root(leaves: list[bytes]) -> bytes:
    """MTH of RFC 9162 section 2.1.1, transcribed."""
    if not leaves:
        return hashlib.sha256().digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\x00" + leaves[0]).digest()
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    return hashlib.sha256(b"\x01" + plain_root(leaves[:k]) + plain_root(leaves[k:])).digest()


def test_reference_tree() -> None:
    """Source: in tests/vectors/merkle.json."""
    leaves = [bytes.fromhex(leaf) for leaf in VECTORS["leaves_hex"]]
    for size, root in enumerate(VECTORS["roots_by_size"]):
        assert Frontier().extend(map(leaf_hash, leaves[:size])).root_hash.hex() == root
    assert EMPTY_ROOT.hex() == VECTORS["roots_by_size"][0]


@given(st.lists(st.binary(max_size=4), max_size=70))
def test_frontier_is_the_plain_tree(leaves: list[bytes]) -> None:
    frontier = Frontier()
    for leaf in leaves:
        frontier = Frontier.from_json(json.loads(json.dumps(frontier.to_json()))).append(leaf_hash(leaf))
    assert frontier.root_hash == plain_root(leaves)


def test_a_frontier_that_does_not_fit_its_size_is_refused() -> None:
    with pytest.raises(ValueError, match="one root for each set bit"):
        Frontier.from_json({"size": 3, "roots": ["00" * 32]})
