"""An excerpt: one entry of a book with the proof that it stands there, for whoever is not shown the rest.

One line of canonical JSON:
`{"book":"b...","entries":[{"entry":"<jws>","index":I,"path":["<hex>"...]}...],"head":"<jws>","index":I,
"seamwalk_excerpt":1}`. `path` is the inclusion proof (RFC 9162) of an entry at `index` under the head's root.
Beside the entry that is proven stand those that say whose book it is, who wrote it and which key signs heads.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seamwalk.book.entry import Entry, read_entry
from seamwalk.book.export import line
from seamwalk.book.head import read_head
from seamwalk.book.merkle import inclusion_proof, root_from_inclusion
from seamwalk.book.trust import TRUST_TYPES, Trust
from seamwalk.errors import BookError, NotFound, VerifyError

FORMAT_VERSION = 1
_MARK = "seamwalk_excerpt"
_REMEDY = "Do not rely on this file; ask whoever keeps the book for a new excerpt."


@dataclass(frozen=True)
class Proven:
    """What an excerpt proves: `entry` stands at `index` of a book of `size` entries in `epoch`."""

    book: str
    epoch: int
    size: int
    index: int
    entry: Entry
    owner_fingerprint: str
    trusted: bool


def is_excerpt(first_line: bytes) -> bool:
    """Whether a file that begins with this line is an excerpt."""
    return f'"{_MARK}":'.encode() in first_line


def write_excerpt(entries: Sequence[str], head: str, entry_id: str) -> str:
    """Write the excerpt of one entry of a book (all its JWS in index order); raise NotFound."""
    read = [read_entry(jws) for jws in entries]
    wanted = next((index for index, entry in enumerate(read) if entry.id == entry_id), None)
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
        return bool(entry.body["entry"] == wanted.id)
    return entry.type in TRUST_TYPES


def verify_excerpt(text: bytes, trust_fingerprint: str | None = None) -> Proven:
    """Verify an excerpt; raise VerifyError saying which part does not hold."""
    try:
        return _verify(_read(text), trust_fingerprint)
    except BookError as error:
        raise VerifyError(f"excerpt: {error.message}", _REMEDY) from error


def _read(text: bytes) -> dict[str, Any]:
    try:
        value = json.loads(text.decode("utf-8"))
    except (ValueError, RecursionError) as error:
        raise BookError("not JSON", _REMEDY) from error
    if not isinstance(value, dict) or sorted(value) != ["book", "entries", "head", "index", _MARK]:
        raise BookError("members are missing or unknown", _REMEDY)
    if line(value).encode() != text:
        raise BookError("not written in the one form an excerpt has", _REMEDY)
    if value[_MARK] != FORMAT_VERSION or not isinstance(value["entries"], list) or not value["entries"]:
        raise BookError(f"this reads excerpts of version {FORMAT_VERSION}", "Use the newest seamwalk.")
    return value


def _verify(value: dict[str, Any], trust_fingerprint: str | None) -> Proven:
    trust = Trust(value["book"])
    placed = [_placed(item) for item in value["entries"]]
    if [index for index, _, _ in placed] != sorted({index for index, _, _ in placed}):
        raise BookError("its entries do not stand in order, each once", _REMEDY)
    for index, entry, _ in placed:
        judgement = trust.judge(entry)
        if not judgement.kept or (index == 0) != (entry.type == "book_opened"):
            raise BookError(f"entry {index} has no place in the book: {judgement.detail}", _REMEDY)
        trust.apply(entry)
    if trust.owner is None or trust.head_key is None:
        raise BookError("it does not say whose book it is", _REMEDY)
    if trust_fingerprint not in (None, trust.owner.thumbprint):
        found = trust.owner.thumbprint
        raise BookError(f"the book belongs to {found}, not to the fingerprint you trust", _REMEDY)
    head = read_head(value["head"], trust.head_key)
    if (head.book, head.epoch) != (trust.book, trust.epoch):
        raise BookError("the head speaks of another book or epoch", _REMEDY)
    for index, entry, path in placed:
        if root_from_inclusion(bytes.fromhex(entry.id), index, head.size, path).hex() != head.root:
            raise BookError(f"entry {index} does not stand there under the head", _REMEDY)
    wanted = next((entry for index, entry, _ in placed if index == value["index"]), None)
    if wanted is None:
        raise BookError("the entry that it is about is not in it", _REMEDY)
    trusted, owner = trust_fingerprint is not None, trust.owner.thumbprint
    return Proven(head.book, head.epoch, head.size, value["index"], wanted, owner, trusted)


def _placed(item: Any) -> tuple[int, Entry, list[bytes]]:
    if not isinstance(item, dict) or sorted(item) != ["entry", "index", "path"]:
        raise BookError("an entry with its index and path is needed", _REMEDY)
    index, path = item["index"], item["path"]
    if not isinstance(index, int) or isinstance(index, bool) or not isinstance(path, list):
        raise BookError("an entry's index is a count, its path a list", _REMEDY)
    try:
        return index, read_entry(item["entry"]), [bytes.fromhex(node) for node in path]
    except (ValueError, TypeError) as error:
        raise BookError("a path holds hashes in hex", _REMEDY) from error
