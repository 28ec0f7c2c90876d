"""Check an export with nothing but itself: no server, no database. Names the first bad line.

Every refusal has a code (`VerifyError.code`); FORMAT.md lists them in the order in which they are tried.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from seamwalk.book.anomalies import Anomalies
from seamwalk.book.entry import Entry
from seamwalk.book.export import READ_VERSIONS
from seamwalk.book.export_reader import REMEDY, ExportReader, is_book, is_count
from seamwalk.book.head import read_head
from seamwalk.book.jose import base64url_decode, sha256_hex
from seamwalk.book.judgement import Void
from seamwalk.book.merkle import root_of
from seamwalk.book.parsing import flaw_of
from seamwalk.book.rules import FIRST, NEWEST
from seamwalk.book.seal import Seal
from seamwalk.book.trust import Trust, read_at
from seamwalk.errors import BookError, VerifyError

_HEADER = ("blobs", "book", "epoch", "seamwalk_export", "size")


class Observer(Protocol):
    """Whoever wants to know what a verified export holds; told in the order of the file."""

    def entry(self, index: int, entry: Entry, author: str) -> None:
        """Take an entry that has an effect, by its author."""

    def leaf(self, index: int, leaf: str, *, hidden: bool) -> None:
        """Take the leaf (hex) of an entry without effect, or of one whose text is `hidden`."""

    def blob(self, name: str, data: bytes) -> None:
        """Take a blob."""


@dataclass(frozen=True)
class Report:
    """What an export holds. `trusted` tells whether the owner's fingerprint was given and fits.

    `flags` are sentences about what is odd, `counts` how often each occurs, by its name in FORMAT.md.
    """

    book: str
    title: str
    epoch: int
    size: int
    root: str
    owner_fingerprint: str
    trusted: bool
    blobs: int
    flags: tuple[str, ...]
    counts: dict[str, int] = field(default_factory=dict)


def verify_export(
    lines: Iterable[bytes],
    trust_fingerprint: str | None = None,
    seals: Sequence[Seal] = (),
    observer: Observer | None = None,
) -> Report:
    """Verify an export's lines, and that it bears out the seals of prints.

    Raise VerifyError naming the first bad line, or the seal, and why.
    """
    reader = ExportReader(lines)
    verification = _Verification(reader, trust_fingerprint, bool(seals), observer)
    try:
        report = verification.run()
    except BookError as error:
        raise VerifyError(f"line {reader.number}: {error.message}", REMEDY, error.code) from error
    odd = list(verification.check_seals(seals))
    counts = Counter(report.counts) + Counter(name for name, _ in odd)
    flags = (*report.flags, *(sentence for _, sentence in odd))
    return replace(report, flags=flags, counts=dict(sorted(counts.items())))


class _Verification:
    """One pass over one export."""

    def __init__(
        self,
        reader: ExportReader,
        trust_fingerprint: str | None,
        names_both: bool,
        observer: Observer | None,
    ) -> None:
        self._reader = reader
        self._fingerprint = trust_fingerprint
        self._names_both = names_both
        self._observer = observer
        self._odd = Anomalies()
        self._leaves: list[bytes] = []
        self._index: dict[str, int] = {}
        self._other: dict[str, int] = {}
        self._void: set[int] = set()

    def run(self) -> Report:
        header = self._reader.next(_HEADER)
        self._check_header(header)
        self._version = header["seamwalk_export"]
        self._trust = Trust(header["book"])
        title = self._first()
        for _ in range(1, header["size"]):
            self._next()
        root = self._head(header)
        blobs = self._blobs(header["blobs"])
        self._reader.end()
        owner = self._trust.owner
        return Report(
            book=header["book"],
            title=title,
            epoch=header["epoch"],
            size=header["size"],
            root=root,
            owner_fingerprint=owner.thumbprint if owner else "",
            trusted=self._fingerprint is not None,
            blobs=len(blobs),
            flags=tuple(self._odd.tell(blobs)),
            counts=self._odd.count(blobs),
        )

    def _check_header(self, header: dict[str, Any]) -> None:
        if not is_count(header["seamwalk_export"]) or header["seamwalk_export"] not in READ_VERSIONS:
            versions = " and ".join(map(str, READ_VERSIONS))
            raise BookError(
                f"this reads exports of version {versions}", "Use the newest seamwalk.", "version"
            )
        for name, least in (("blobs", 0), ("epoch", 1), ("size", 1)):
            if not is_count(header[name], least):
                raise BookError(f"{name}: a count from {least} on is needed", REMEDY, "header_line")
        if not is_book(header["book"]):
            raise BookError("book: its id is needed", REMEDY, "header_line")

    def _first(self) -> str:
        """Take the entry that opens the book; return its title."""
        entry = self._entry(self._reader.next(("entry",))["entry"])
        owner = self._trust.owner
        if self._fingerprint is not None and (owner is None or owner.thumbprint != self._fingerprint):
            found = owner.thumbprint if owner else "nobody"
            message = f"the book belongs to {found}, not to the fingerprint you trust"
            raise BookError(message, REMEDY, "owner")
        return str(entry.body["title"])

    def _next(self) -> None:
        choices = (("entry",),) if self._version == 1 else (("entry",), ("leaf",))
        value = self._reader.next(*choices)
        if "entry" in value:
            self._entry(value["entry"])
        else:
            self._leaf(value["leaf"])

    def _leaf(self, text: object) -> None:
        """Take a bare leaf: an entry that whoever made this file may not read."""
        if not isinstance(text, str) or len(text) != 64 or set(text) - set("0123456789abcdef"):
            raise BookError("leaf: 64 hex digits are needed", REMEDY, "leaf")
        self._place(text)
        self._odd.hidden += 1
        if self._observer is not None:
            self._observer.leaf(len(self._leaves) - 1, text, hidden=True)

    def _entry(self, text: Any) -> Entry:
        entry, rules = read_at(text, self._trust)
        judgement = self._trust.judge(entry, rules)
        if judgement.refused is not None:
            raise BookError(f"this entry is not valid: {judgement.detail}", REMEDY, judgement.code)
        flaw = self._flaw(entry) if rules < NEWEST else None
        void = self._trust.take(entry)
        if void is None and judgement.held is not None:
            message = f"this entry has no place in the book: {judgement.detail}"
            raise BookError(message, REMEDY, judgement.code)
        if void is Void.TWIN and rules >= NEWEST:
            raise BookError("this entry stands in the file twice", REMEDY, "twin")
        if void is None:
            self._check_roots(entry, rules)
        self._keep(entry, void, flaw)
        return entry

    def _flaw(self, entry: Entry) -> str | None:
        """Which test of the newest rules an entry fails that older ones let in."""
        error = flaw_of(entry)
        if error is not None:
            return error.code
        judgement = self._trust.judge_content(entry, NEWEST)
        return None if judgement.refused is None else judgement.code

    def _keep(self, entry: Entry, void: Void | None, flaw: str | None) -> None:
        index = len(self._leaves)
        self._place(entry.id)
        if self._names_both:
            self._other.setdefault(entry.other_id, index)
        self._odd.see(entry, void, flaw)
        if void is not None:
            self._void.add(index)
        if self._observer is None:
            return
        if void is None:
            self._observer.entry(index, entry, self._trust.author_of(entry))
        else:
            self._observer.leaf(index, entry.id, hidden=False)

    def _place(self, leaf: str) -> None:
        if leaf in self._index:
            raise BookError("this entry stands in the file twice", REMEDY, "twin")
        self._index[leaf] = len(self._leaves)
        self._leaves.append(bytes.fromhex(leaf))

    def _root_at(self, size: int) -> str:
        """The root (hex) of the first `size` entries read; "" when there are fewer."""
        return root_of(self._leaves[:size]).hex() if size <= len(self._leaves) else ""

    def _check_roots(self, entry: Entry, rules: int) -> None:
        """A sign-off and a restore name a root of this very book."""
        body, trust = entry.body, self._trust
        if entry.type == "signed_off" and not trust.lets_in(entry):
            size, root, what = body["size"], body["root"], "this sign-off was made over"
            known = rules == FIRST or body["epoch"] in trust.epochs
        elif entry.type == "restored" and trust.restores and trust.restores[-1].jws == entry.jws:
            size, root, what, known = body["base_size"], body["base_root"], "this restore vouches for", True
        else:
            return
        if not known or self._root_at(size) != root:
            raise BookError(f"{what} other entries than the first {size} here", REMEDY, "other_root")

    def check_seals(self, seals: Sequence[Seal]) -> Iterator[tuple[str, str]]:
        """Name and tell what is odd about prints' seals; raise VerifyError for one not borne out."""
        for seal in seals:
            index = self._index.get(seal.entry, self._other.get(seal.entry))
            if seal.book != self._trust.book or index is None:
                message = f"seal: entry {seal.entry} of book {seal.book} is not in this export"
                raise VerifyError(message, REMEDY, "seal_entry")
            if index in self._void:
                yield "seal_void", f"a print shows entry {seal.entry}, which has no effect in this book"
            if seal.epoch not in self._trust.epochs:
                message = f"seal: this book never had an epoch {seal.epoch}"
                raise VerifyError(message, REMEDY, "seal_epoch")
            if index < seal.size and self._root_at(seal.size) == seal.root:
                continue
            if self._trust.agreed_size(seal.epoch, seal.size) == seal.size:
                message = f"seal: the first {seal.size} entries are not those that stood when it was printed"
                raise VerifyError(message, REMEDY, "seal_root")
            sentence = f"a print was made before a restore: its entry {seal.entry} is here, in another order"
            yield "seal_restored", sentence

    def _head(self, header: dict[str, Any]) -> str:
        text = self._reader.next(("head",))["head"]
        if self._trust.head_key is None:
            raise BookError("no key for heads is in this book", REMEDY, "head")
        head = read_head(text, self._trust.head_key)
        root = self._root_at(len(self._leaves))
        if (head.book, head.epoch, head.size) != (header["book"], header["epoch"], header["size"]):
            raise BookError("the head speaks of another book, epoch or size", REMEDY, "head_claim")
        if head.epoch != self._trust.epoch:
            raise BookError("the head is of another epoch than the entries", REMEDY, "head_epoch")
        if head.root != root:
            raise BookError(f"the entries hash to {root}, the head says {head.root}", REMEDY, "root")
        return root

    def _blobs(self, count: int) -> set[str]:
        names: set[str] = set()
        last = ""
        for _ in range(count):
            value = self._reader.next(("blob", "data"))
            last = self._blob(value["blob"], value["data"], last)
            names.add(last)
        return names

    def _blob(self, name: object, data: object, last: str) -> str:
        if not isinstance(name, str) or not isinstance(data, str) or name <= last:
            raise BookError("blobs come sorted by name, each once", REMEDY, "blob_order")
        try:
            content = base64url_decode(data)
        except BookError as error:
            raise BookError(error.message, REMEDY, "blob_hash") from error
        if sha256_hex(content) != name:
            raise BookError("the bytes do not hash to their name", REMEDY, "blob_hash")
        if self._version > 1 and name not in self._odd.wanted:
            raise BookError("no entry speaks of this blob", REMEDY, "blob_unnamed")
        if self._observer is not None:
            self._observer.blob(name, content)
        return name
