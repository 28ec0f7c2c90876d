"""Check an export with nothing but itself: no server, no database. Names the first bad line."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from seamwalk.book.entry import Entry, blobs_of, read_entry
from seamwalk.book.export import FORMAT_VERSION, line
from seamwalk.book.head import read_head
from seamwalk.book.jose import base64url_decode, sha256_hex
from seamwalk.book.merkle import root_of
from seamwalk.book.seal import Seal
from seamwalk.book.trust import Trust
from seamwalk.errors import BookError, VerifyError

_REMEDY = "Do not rely on this file; ask whoever keeps the book for a new export."


@dataclass(frozen=True)
class Report:
    """What an export holds. `trusted` tells whether the owner's fingerprint was given and fits."""

    book: str
    title: str
    epoch: int
    size: int
    root: str
    owner_fingerprint: str
    trusted: bool
    blobs: int
    flags: tuple[str, ...]


def verify_export(
    lines: Iterable[bytes], trust_fingerprint: str | None = None, seals: Sequence[Seal] = ()
) -> Report:
    """Verify an export's lines, and that it bears out the seals of prints.

    Raise VerifyError naming the first bad line, or the seal, and why.
    """
    reader = _Reader(lines)
    try:
        verification = _Verification(reader, trust_fingerprint)
        report = verification.run()
    except BookError as error:
        raise VerifyError(f"line {reader.number}: {error.message}", _REMEDY) from error
    return replace(report, flags=(*report.flags, *verification.check_seals(seals)))


class _Reader:
    """Lines as canonical JSON objects, counted from 1."""

    def __init__(self, lines: Iterable[bytes]) -> None:
        self._lines = iter(lines)
        self.number = 0

    def next(self, *keys: str) -> dict[str, Any]:
        """The next line, which must have exactly these members."""
        raw = next(self._lines, None)
        self.number += 1
        if raw is None:
            raise BookError("the file ends too early", _REMEDY)
        try:
            value = json.loads(raw.decode("utf-8"))
        except (ValueError, RecursionError) as error:
            raise BookError("not JSON", _REMEDY) from error
        if not isinstance(value, dict) or sorted(value) != sorted(keys):
            raise BookError(f"a line with {', '.join(keys)} is needed here", _REMEDY)
        if line(value).encode() != raw:
            raise BookError("not written in the one form an export has", _REMEDY)
        return value

    def end(self) -> None:
        """Make sure that nothing follows."""
        if next(self._lines, None) is not None:
            self.number += 1
            raise BookError("more lines than the file says it has", _REMEDY)


@dataclass
class _Flags:
    """What is odd but not wrong."""

    numbers: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))
    clocks: int = 0
    wanted: set[str] = field(default_factory=set)
    erased: set[str] = field(default_factory=set)
    restored: set[str] = field(default_factory=set)

    def see(self, entry: Entry) -> None:
        self.numbers[entry.device].append(entry.n)
        self.clocks += not "2020" <= entry.at[:4] <= "2037"
        self.wanted.update(blobs_of(entry))
        if entry.type == "blob_erased":
            self.erased.add(entry.body["blob"])
        if entry.type == "restored":
            self.restored.add(entry.device)

    def tell(self, blobs: set[str]) -> Iterator[str]:
        for device, numbers in sorted(self.numbers.items()):
            if len(set(numbers)) != len(numbers):
                why = "before and after a restore" if device in self.restored else "was the phone copied?"
                yield f"device {device} wrote two different entries under one number: {why}"
            if len(set(numbers)) != max(numbers):
                yield f"device {device} counted to {max(numbers)}, {len(set(numbers))} of these are here"
        if self.clocks:
            yield f"{self.clocks} entries carry a clock before 2020 or after 2037"
        missing = self.wanted - blobs - self.erased
        if missing:
            yield f"{len(missing)} named texts, photos or files are not in this export"
        if self.erased:
            yield f"{len(self.erased)} texts or photos were erased on purpose"


class _Verification:
    """One pass over one export."""

    def __init__(self, reader: _Reader, trust_fingerprint: str | None) -> None:
        self._reader = reader
        self._fingerprint = trust_fingerprint
        self._flags = _Flags()
        self._leaves: list[bytes] = []
        self._seen: dict[str, int] = {}

    def run(self) -> Report:
        header = self._reader.next("blobs", "book", "epoch", "seamwalk_export", "size")
        self._check_header(header)
        self._trust = Trust(header["book"])
        title = ""
        for index in range(header["size"]):
            entry = self._entry()
            title = entry.body["title"] if index == 0 else title
        root = self._head(header)
        blobs = self._blobs(header["blobs"])
        self._reader.end()
        owner = self._trust.owner
        fingerprint = owner.thumbprint if owner else ""
        return Report(
            book=header["book"],
            title=title,
            epoch=header["epoch"],
            size=header["size"],
            root=root,
            owner_fingerprint=fingerprint,
            trusted=self._fingerprint is not None,
            blobs=len(blobs),
            flags=tuple(self._flags.tell(blobs)),
        )

    def _check_header(self, header: dict[str, Any]) -> None:
        if header["seamwalk_export"] != FORMAT_VERSION or isinstance(header["seamwalk_export"], bool):
            raise BookError(f"this reads exports of version {FORMAT_VERSION}", "Use the newest seamwalk.")
        for name in ("blobs", "epoch", "size"):
            if not isinstance(header[name], int) or isinstance(header[name], bool) or header[name] < 0:
                raise BookError(f"{name}: a count is needed", _REMEDY)
        if not isinstance(header["book"], str) or header["size"] < 1:
            raise BookError("a book has an id and at least its first entry", _REMEDY)

    def _entry(self) -> Entry:
        entry = read_entry(self._reader.next("entry")["entry"])
        if entry.id in self._seen:
            raise BookError("this entry stands in the file twice", _REMEDY)
        judgement = self._trust.judge(entry)
        if not judgement.kept:
            raise BookError(f"this entry has no place in the book: {judgement.detail}", _REMEDY)
        self._check_roots(entry)
        self._trust.apply(entry)
        if entry.type == "book_opened":
            self._check_owner()
        self._seen[entry.id] = len(self._leaves)
        self._leaves.append(bytes.fromhex(entry.id))
        self._flags.see(entry)
        return entry

    def _root_at(self, size: int) -> str:
        """The root (hex) of the first `size` entries read; "" when there are fewer."""
        return root_of(self._leaves[:size]).hex() if size <= len(self._leaves) else ""

    def _check_roots(self, entry: Entry) -> None:
        """A sign-off and a restore name a root of this very book."""
        body, trust = entry.body, self._trust
        if entry.type == "signed_off" and not trust.lets_in(entry):
            size, root, what = body["size"], body["root"], "this sign-off was made over"
        elif entry.type == "restored" and body["epoch"] > trust.epoch:
            size, root, what = body["base_size"], body["base_root"], "this restore vouches for"
        else:
            return
        if self._root_at(size) != root:
            raise BookError(f"{what} other entries than the first {size} here", _REMEDY)

    def check_seals(self, seals: Sequence[Seal]) -> Iterator[str]:
        """Tell what is odd about prints' seals; raise VerifyError when this book does not bear one out."""
        for seal in seals:
            index = self._seen.get(seal.entry)
            if seal.book != self._trust.book or index is None:
                raise VerifyError(
                    f"seal: entry {seal.entry} of book {seal.book} is not in this export", _REMEDY
                )
            if index < seal.size and self._root_at(seal.size) == seal.root:
                continue
            if self._trust.agreed_size(seal.epoch, seal.size) == seal.size:
                message = f"seal: the first {seal.size} entries are not those that stood when it was printed"
                raise VerifyError(message, _REMEDY)
            yield f"a print was made before a restore: its entry {seal.entry} is here, in another order"

    def _check_owner(self) -> None:
        owner = self._trust.owner
        if self._fingerprint is not None and (owner is None or owner.thumbprint != self._fingerprint):
            found = owner.thumbprint if owner else "nobody"
            raise BookError(f"the book belongs to {found}, not to the fingerprint you trust", _REMEDY)

    def _head(self, header: dict[str, Any]) -> str:
        text = self._reader.next("head")["head"]
        if self._trust.head_key is None:
            raise BookError("no key for heads is in this book", _REMEDY)
        head = read_head(text, self._trust.head_key)
        root = self._root_at(len(self._leaves))
        if (head.book, head.epoch, head.size) != (header["book"], header["epoch"], header["size"]):
            raise BookError("the head speaks of another book, epoch or size", _REMEDY)
        if head.root != root:
            raise BookError(f"the entries hash to {root}, the head says {head.root}", _REMEDY)
        return root

    def _blobs(self, count: int) -> set[str]:
        names: set[str] = set()
        last = ""
        for _ in range(count):
            value = self._reader.next("blob", "data")
            name, data = value["blob"], value["data"]
            if not isinstance(name, str) or not isinstance(data, str) or name <= last:
                raise BookError("blobs come sorted by name, each once", _REMEDY)
            if sha256_hex(base64url_decode(data)) != name:
                raise BookError("the bytes do not hash to their name", _REMEDY)
            names.add(name)
            last = name
        return names
