"""The Merkle tree of RFC 9162 section 2.1, kept as a frontier so that appending needs no old leaves."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

LEAF_PREFIX = b"\x00"
NODE_PREFIX = b"\x01"
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
