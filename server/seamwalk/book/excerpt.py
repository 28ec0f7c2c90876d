"""An excerpt: one entry of a book with the proof that it stands there, for whoever is not shown the rest.

One line of canonical JSON:
`{"book":"b...","entries":[{"entry":"<jws>","index":I,"path":["<hex>"...]}...],"head":"<jws>","index":I,
"seamwalk_excerpt":1}`. `path` is the inclusion proof (RFC 9162) of an entry at `index` under the head's root.
Beside the entry that is proven stand those that say whose book it is, who wrote it and which key signs heads.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seamwalk.book.entry import Entry
from seamwalk.book.export import line
from seamwalk.book.export_reader import canonical, is_book, is_count
from seamwalk.book.head import read_head
from seamwalk.book.judgement import Void
from seamwalk.book.merkle import inclusion_proof, root_from_inclusion
from seamwalk.book.parsing import read_kept
from seamwalk.book.rules import NEWEST
from seamwalk.book.trust import TRUST_TYPES, Trust, read_at
from seamwalk.errors import BookError, NotFound, VerifyError

FORMAT_VERSION = 1
_MARK = "seamwalk_excerpt"
_NODE = re.compile(r"[0-9a-f]{64}")
_REMEDY = "Do not rely on this file; ask whoever keeps the book for a new excerpt."


@dataclass(frozen=True)
class VerifiedExcerpt:
    """What an excerpt proves: `entry` stands at `index` of a book of `size` entries in `epoch`.

    `void` says why it has no effect there, None when it has.
    """

    book: str
    epoch: int
    size: int
    index: int
    entry: Entry
    owner_fingerprint: str
    trusted: bool
    void: Void | None = None


def is_excerpt(first_line: bytes) -> bool:
    """Whether a file that begins with this line is an excerpt."""
    return f'"{_MARK}":'.encode() in first_line


def write_excerpt(entries: Sequence[str], head: str, entry_id: str) -> str:
    """Write the excerpt of one entry of a book (all its JWS in index order); raise NotFound."""
    read = [read_kept(jws) for jws in entries]
    wanted = next((index for index, entry in enumerate(read) if entry.is_among({entry_id})), None)
    if wanted is None:
        raise NotFound(f"entry {entry_id} is not in this book", "Name an entry's id, 64 hex digits.")
    leaves = [bytes.fromhex(entry.id) for entry in read]
    proofs = [
        {"entry": entry.jws, "index": i, "path": [node.hex() for node in inclusion_proof(leaves, i)]}
        for i, entry in enumerate(read)
        if i == wanted or _bears_on(entry, read[wanted])
    ]
    fields = {"book": read[0].book, "entries": proofs, "head": head, "index": wanted}
    return line({**fields, _MARK: FORMAT_VERSION})


def _bears_on(entry: Entry, wanted: Entry) -> bool:
    """Whether an entry says whose book it is, which key signs heads, or who wrote the wanted one."""
    if entry.type in ("device_admitted", "device_revoked"):
        return bool(entry.body["device"] == wanted.device)
    if entry.type == "entry_admitted":
        return wanted.is_among({entry.body["entry"]})
    return entry.type in TRUST_TYPES


def verify_excerpt(text: bytes, trust_fingerprint: str | None = None) -> VerifiedExcerpt:
    """Verify an excerpt; raise VerifyError saying which part does not hold."""
    try:
        return _verify(_read(text), trust_fingerprint)
    except BookError as error:
        raise VerifyError(f"excerpt: {error.message}", _REMEDY, error.code) from error


def _read(text: bytes) -> dict[str, Any]:
    value = canonical(text)
    if sorted(value) != ["book", "entries", "head", "index", _MARK]:
        raise BookError("members are missing or unknown", _REMEDY, "line")
    if not is_count(value[_MARK]) or value[_MARK] != FORMAT_VERSION:
        message = f"this reads excerpts of version {FORMAT_VERSION}"
        raise BookError(message, "Use the newest seamwalk.", "version")
    if not is_count(value["index"]) or not isinstance(value["entries"], list) or not is_book(value["book"]):
        raise BookError("a book, an index and entries are needed", _REMEDY, "excerpt_members")
    return value


def _verify(value: dict[str, Any], trust_fingerprint: str | None) -> VerifiedExcerpt:
    """Replay the entries into a trust, then check owner, head and each inclusion proof, in that order."""
    trust, found, last = Trust(value["book"]), None, -1
    placed: list[_Placed] = []
    for item in value["entries"]:
        made = _placed(item, trust)
        if made.index <= last or (made.index == 0) != (made.entry.type == "book_opened"):
            raise BookError("its entries do not stand in order, each once", _REMEDY, "excerpt_order")
        void = _take(trust, made)
        found = (made.entry, void) if made.index == value["index"] else found
        placed.append(made)
        last = made.index
    if trust.owner is None or trust.head_key is None:
        raise BookError("it does not say whose book it is", _REMEDY, "excerpt_order")
    if trust_fingerprint not in (None, trust.owner.thumbprint):
        message = f"the book belongs to {trust.owner.thumbprint}, not to the fingerprint you trust"
        raise BookError(message, _REMEDY, "owner")
    head = read_head(value["head"], trust.head_key)
    if (head.book, head.epoch) != (trust.book, trust.epoch):
        raise BookError("the head speaks of another book or epoch", _REMEDY, "head_claim")
    for made in placed:
        leaf = bytes.fromhex(made.entry.id)
        if root_from_inclusion(leaf, made.index, head.size, made.path).hex() != head.root:
            raise BookError(f"entry {made.index} does not stand there under the head", _REMEDY, "path")
    if found is None:
        raise BookError("the entry that it is about is not in it", _REMEDY, "excerpt_wanted")
    trusted, owner = trust_fingerprint is not None, trust.owner.thumbprint
    entry, void = found
    return VerifiedExcerpt(head.book, head.epoch, head.size, value["index"], entry, owner, trusted, void)


@dataclass(frozen=True)
class _Placed:
    index: int
    entry: Entry
    path: list[bytes]


def _take(trust: Trust, made: _Placed) -> Void | None:
    """Judge an entry and take it into account, as `verify.py` does."""
    rules = trust.rules_of(made.entry)
    judgement = trust.judge(made.entry, rules)
    void = trust.take(made.entry) if judgement.refused is None else None
    if judgement.refused is not None or (judgement.held is not None and void is None):
        message = f"entry {made.index} has no place in the book: {judgement.detail}"
        raise BookError(message, _REMEDY, judgement.code)
    if void is Void.TWIN and rules >= NEWEST:
        raise BookError(f"entry {made.index} is here twice", _REMEDY, "twin")
    return void


def _placed(item: Any, trust: Trust) -> _Placed:
    if not isinstance(item, dict) or sorted(item) != ["entry", "index", "path"]:
        raise BookError("an entry with its index and path is needed", _REMEDY, "excerpt_members")
    index, path = item["index"], item["path"]
    if not is_count(index) or not isinstance(path, list):
        raise BookError("an entry's index is a count, its path a list", _REMEDY, "excerpt_members")
    if not all(isinstance(node, str) and _NODE.fullmatch(node) for node in path):
        raise BookError("a path holds hashes of 64 hex digits", _REMEDY, "path")
    return _Placed(index, read_at(item["entry"], trust)[0], [bytes.fromhex(node) for node in path])
