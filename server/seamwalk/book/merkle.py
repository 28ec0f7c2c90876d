"""The Merkle tree of RFC 9162 section 2.1, kept as a frontier so that appending needs no old leaves."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from seamwalk.errors import BookError

LEAF_PREFIX = b"\x00"
NODE_PREFIX = b"\x01"
HASH_BYTES = 32
EMPTY_ROOT = hashlib.sha256(b"").digest()


def leaf_hash(data: bytes) -> bytes:
    """Hash one leaf's bytes; 32 bytes."""
    return hashlib.sha256(LEAF_PREFIX + data).digest()


def node_hash(left: bytes, right: bytes) -> bytes:
    """Hash two subtree roots of 32 bytes each into their parent."""
    return hashlib.sha256(NODE_PREFIX + left + right).digest()


@dataclass(frozen=True)
class Frontier:
    """The roots of the perfect subtrees of a tree, largest first: one for each set bit of `tree_size`."""

    tree_size: int = 0
    roots: tuple[bytes, ...] = ()

    def append(self, leaf: bytes) -> "Frontier":
        """Return the frontier after one more leaf hash of 32 bytes."""
        return self.extend((leaf,))

    def extend(self, leaves: Iterable[bytes]) -> "Frontier":
        """Return the frontier after these leaf hashes of 32 bytes, in order."""
        size, roots = self.tree_size, list(self.roots)
        for leaf in leaves:
            node, carry = leaf, size
            while carry & 1:
                node = node_hash(roots.pop(), node)
                carry >>= 1
            roots.append(node)
            size += 1
        return Frontier(size, tuple(roots))

    @property
    def root_hash(self) -> bytes:
        """The root of the whole tree: 32 bytes."""
        if not self.roots:
            return EMPTY_ROOT
        *left, node = self.roots
        for sibling in reversed(left):
            node = node_hash(sibling, node)
        return node

    def to_json(self) -> dict[str, object]:
        """A JSON-ready form: {size, roots: hex[]}."""
        return {"size": self.tree_size, "roots": [root.hex() for root in self.roots]}

    @classmethod
    def from_json(cls, data: dict[str, object]) -> "Frontier":
        """Read `to_json`'s form; raise ValueError when size and roots do not fit each other."""
        size, roots = data["size"], data["roots"]
        if not isinstance(size, int) or not isinstance(roots, list) or size.bit_count() != len(roots):
            raise ValueError("a frontier has one root for each set bit of its size")
        return cls(size, tuple(bytes.fromhex(root) for root in roots))


def root_of(leaves: Sequence[bytes]) -> bytes:
    """The root over leaf hashes of 32 bytes, in order."""
    return Frontier().extend(leaves).root_hash


def inclusion_proof(leaves: Sequence[bytes], index: int) -> tuple[bytes, ...]:
    """PATH of RFC 9162 section 2.1.3.1: the hashes that lead from leaf `index` to the root, nearest first.

    Precondition: 0 <= index < len(leaves).
    """
    path: list[bytes] = []
    first, size = 0, len(leaves)
    while size > 1:
        left = 1 << ((size - 1).bit_length() - 1)
        if index - first < left:
            path.append(root_of(leaves[first + left : first + size]))
            size = left
        else:
            path.append(root_of(leaves[first : first + left]))
            first, size = first + left, size - left
    return tuple(reversed(path))


def root_from_inclusion(leaf: bytes, index: int, tree_size: int, path: Sequence[bytes]) -> bytes:
    """The root (32 bytes) that a leaf hash and its path lead to (RFC 9162 section 2.1.3.2).

    The caller compares it with the root of a signed head of `tree_size`.

    Raise BookError when the path cannot be one of a leaf at `index` in a tree of `tree_size`.
    """
    wrong = BookError(
        "proof: it is not the path of this place in a tree of this size", "Ask for a new one.", "path"
    )
    if not 0 <= index < tree_size or any(len(node) != HASH_BYTES for node in path):
        raise wrong
    node, first, last = leaf, index, tree_size - 1
    for sibling in path:
        if last == 0:
            raise wrong
        if first & 1 or first == last:
            node = node_hash(sibling, node)
            while first and not first & 1:
                first, last = first >> 1, last >> 1
        else:
            node = node_hash(node, sibling)
        first, last = first >> 1, last >> 1
    if last != 0:
        raise wrong
    return node
