"""Excerpts: one entry with its proof."""

from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from second_reader.keys import read_head
from second_reader.published import Published
from second_reader.strict import from_line, is_book, is_count, is_hash, need
from second_reader.trust import Judge


def read_excerpt(data: bytes, public: Published, trusted: str | None) -> None:
    """Make sure that an excerpt proves its entry."""
    value = from_line(data)
    need(set(value) == {"book", "entries", "head", "index", "seamwalk_excerpt"}, "line")
    need(is_count(value["seamwalk_excerpt"], 1) and value["seamwalk_excerpt"] == 1, "version")
    need(is_book(value["book"]) and is_count(value["index"], 0), "excerpt_members")
    need(isinstance(value["entries"], list), "excerpt_members")
    judge, last = Judge(value["book"], public), -1
    leaves = []
    for item in value["entries"]:
        leaves.append(_judged(item, judge, last))
        last = item["index"]
    need(judge.trust.owner is not None, "excerpt_order")
    need(trusted in (None, judge.trust.owner), "owner")
    head = read_head(value["head"], judge.trust.head_key)
    need((head["book"], head["epoch"]) == (judge.book, judge.trust.epoch), "head_claim")
    for item, leaf in zip(value["entries"], leaves, strict=True):
        path = [bytes.fromhex(node) for node in item["path"]]
        need(root_of_path(leaf, item["index"], head["size"], path).hex() == head["root"], "path")
    need(any(item["index"] == value["index"] for item in value["entries"]), "excerpt_wanted")


def _judged(item: Any, judge: Judge, last: int) -> bytes:
    """The leaf of an entry that may stand here."""
    need(isinstance(item, dict) and set(item) == {"entry", "index", "path"}, "excerpt_members")
    need(is_count(item["index"], 0) and isinstance(item["path"], list), "excerpt_members")
    need(all(map(is_hash, item["path"])), "path")
    entry, rules = judge.read(item["entry"])
    need(item["index"] > last and (entry.type == "book_opened") == (item["index"] == 0), "excerpt_order")
    judge.judge(entry, rules)
    return bytes.fromhex(entry.id)


def root_of_path(leaf: bytes, index: int, size: int, path: Sequence[bytes]) -> bytes:
    """The root that PATH of RFC 9162 section 2.1.3.1 leads to: its definition, read backwards."""
    need(index < size and (size == 1) == (not path), "path")
    if size == 1:
        return leaf
    k = 1 << ((size - 1).bit_length() - 1)
    if index < k:
        return sha256(b"\x01" + root_of_path(leaf, index, k, path[:-1]) + path[-1]).digest()
    return sha256(b"\x01" + path[-1] + root_of_path(leaf, index - k, size - k, path[:-1])).digest()
