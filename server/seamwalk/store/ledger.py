"""Take entries in, each judged on its own; give them out in pages with a signed head."""

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry, format_at, read_entry
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import PrivateKey, sha256_hex
from seamwalk.book.merkle import Frontier
from seamwalk.book.trust import Held, Judgement, Refused
from seamwalk.errors import BookError, LostEntries, NotFound
from seamwalk.store.projections import Projector
from seamwalk.store.rows import among, insert_rows
from seamwalk.store.tables import Book, HeldEntry, Key, LedgerEntry, SignedHead
from seamwalk.store.trusting import load_trust
from seamwalk.store.witness import bears_out, require_whole

_REMEDIES = {
    "unknown_device": "The office admits this phone; nothing is lost meanwhile.",
    "revoked_device": "The office decides about it; nothing is lost meanwhile.",
    "unknown_type": "A newer server will take it; nothing is lost meanwhile.",
    "unknown_version": "A newer server will take it; nothing is lost meanwhile.",
    "other_root": "The office looks at both books and decides; nothing is lost meanwhile.",
    "role": "Somebody whose role allows it writes this, or the office lets it in.",
    "malformed": "Save it as a file and show it to the office.",
    "signature": "Save it as a file and show it to the office.",
    "wrong_book": "Send it to the book that it names.",
    "key_missing": "Send the device's key along, in the header's jwk.",
    "schema": "Save it as a file and show it to the office.",
}


@dataclass(frozen=True)
class Verdict:
    """What became of one entry: kept, again, held or refused; `index` where it stands in the book."""

    sha256: str
    id: str | None
    verdict: str
    index: int | None = None
    why: str | None = None
    detail: str | None = None
    remedy: str | None = None
    twin: bool = False


@dataclass(frozen=True)
class Page:
    """Entries from an index on, whether more follow, and the book's head."""

    entries: list[str]
    more: bool
    head: str


def lock_book(session: Session, book_id: str) -> Book:
    """Get a book's row, locked until the transaction ends; raise NotFound."""
    book = session.scalars(select(Book).where(Book.id == book_id).with_for_update()).one_or_none()
    if book is None:
        raise NotFound(f"book {book_id} is not on this server", "Look at the address, or ask the office.")
    return book


def ingest(
    session: Session, book_id: str, texts: Sequence[str], received_at: datetime, *, restoring: bool = False
) -> list[Verdict]:
    """Take entries into a book, in one transaction; return one verdict for each, in their order.

    Raise LostEntries while a phone's head says that the book has lost entries; `restoring` is the way out.
    """
    book = lock_book(session, book_id)
    if not restoring:
        require_whole(session, book_id)
    return _Intake(session, book, received_at).take(texts)


class _Intake:
    """One batch on its way into one book."""

    def __init__(self, session: Session, book: Book, received_at: datetime) -> None:
        self._session = session
        self._book = book
        self._received_at = received_at
        self._kept_at = format_at(received_at)
        self._trust = load_trust(session, book.id)
        self._frontier = Frontier.from_json(book.frontier)
        self._leaves: list[bytes] = []
        self._projector = Projector(session, book.id)
        self._rows: list[dict[str, object]] = []
        self._kept: dict[str, int] = {}
        self._held: dict[str, str] = {}
        self._numbers: set[tuple[str, int]] = set()

    def take(self, texts: Sequence[str]) -> list[Verdict]:
        read = [self._read(text) for text in texts]
        entries = [entry for entry in read if isinstance(entry, Entry)]
        self._look_up(entries)
        verdicts = [self._verdict(item) if isinstance(item, Entry) else item for item in read]
        if self._rows:
            self._write()
        return verdicts

    @staticmethod
    def _read(text: str) -> Entry | Verdict:
        try:
            return read_entry(text)
        except BookError as error:
            sha = sha256_hex(str(text).encode("utf-8", "surrogatepass"))
            why = Refused.MALFORMED.value
            return Verdict(sha, None, "refused", None, why, error.message, _REMEDIES[why])

    def _look_up(self, entries: Sequence[Entry]) -> None:
        """Find which of these entries, and which of their numbers, are here already."""
        session, book, ids = self._session, self._book.id, [entry.id for entry in entries]
        kept = select(LedgerEntry.entry, LedgerEntry.idx).where(LedgerEntry.book == book)
        kept_rows = session.execute(kept.where(among(session, LedgerEntry.entry, ids)))
        self._kept.update((row.entry, row.idx) for row in kept_rows)
        held = select(HeldEntry.entry, HeldEntry.why).where(HeldEntry.book == book)
        held_rows = session.execute(held.where(among(session, HeldEntry.entry, ids)))
        self._held.update((row.entry, row.why) for row in held_rows)
        for device in {entry.device for entry in entries}:
            numbers = [entry.n for entry in entries if entry.device == device]
            query = select(LedgerEntry.n).where(
                LedgerEntry.book == self._book.id, LedgerEntry.device == device
            )
            query = query.where(LedgerEntry.n.between(min(numbers), max(numbers)))
            self._numbers.update((device, n) for n in self._session.scalars(query))

    def _verdict(self, entry: Entry) -> Verdict:
        if entry.id in self._kept:
            return Verdict(entry.sha256, entry.id, "again", self._kept[entry.id])
        judgement = self._judge(entry)
        if judgement.kept:
            return self._keep(entry)
        if judgement.held is not None:
            return self._hold(entry, judgement)
        return _not_kept(entry, "refused", judgement)

    def _judge(self, entry: Entry) -> Judgement:
        """What the book's trust says, and for a sign-off whether its root is one that this book had."""
        judgement = self._trust.judge(entry)
        if not judgement.kept or entry.type != "signed_off" or self._trust.lets_in(entry):
            return judgement
        body = entry.body
        if bears_out(self._session, Head(self._book.id, body["epoch"], body["size"], body["root"], "")):
            return judgement
        return Judgement(held=Held.OTHER_ROOT, detail="it was signed over entries that are not this book's")

    def _keep(self, entry: Entry) -> Verdict:
        index = self._frontier.tree_size + len(self._leaves)
        twin = (entry.device, entry.n) in self._numbers
        self._numbers.add((entry.device, entry.n))
        self._leaves.append(bytes.fromhex(entry.id))
        self._kept[entry.id] = index
        self._trust.apply(entry)
        row = {
            "book": self._book.id,
            "idx": index,
            "entry": entry.id,
            "type": entry.type,
            "device": entry.device,
            "n": entry.n,
            "twin": twin,
            "jws": entry.jws,
            "kept_at": self._kept_at,
        }
        self._rows.append(row)
        self._projector.apply(index, entry, self._trust.author_of(entry), self._kept_at)
        self._release(entry.id)
        if entry.type in ("device_admitted", "entry_admitted"):
            self._reconsider()
        return Verdict(entry.sha256, entry.id, "kept", index, twin=twin)

    def _hold(self, entry: Entry, judgement: Judgement) -> Verdict:
        if entry.id not in self._held:
            why = str(judgement.held)
            self._held[entry.id] = why
            fields = {"entry": entry.id, "device": entry.device, "n": entry.n, "why": why, "jws": entry.jws}
            row = HeldEntry(book=self._book.id, received_at=self._received_at, **fields)
            self._session.add(row)
        return _not_kept(entry, "held", judgement)

    def _release(self, entry_id: str) -> None:
        if self._held.pop(entry_id, None) is not None:
            where = (HeldEntry.book == self._book.id, HeldEntry.entry == entry_id)
            self._session.execute(delete(HeldEntry).where(*where))

    def _reconsider(self) -> None:
        """Keep held entries that an admission has let in, in the order of their own numbers."""
        query = select(HeldEntry).where(HeldEntry.book == self._book.id)
        query = query.order_by(HeldEntry.device, HeldEntry.n, HeldEntry.entry)
        waiting = [(row.entry, row.why, row.jws) for row in self._session.scalars(query)]
        self._held.update((entry, why) for entry, why, _ in waiting)
        for entry_id, _, jws in waiting:
            entry = read_entry(jws)
            if entry_id not in self._kept and self._judge(entry).kept:
                self._look_up([entry])
                self._keep(entry)

    def _write(self) -> None:
        insert_rows(self._session, LedgerEntry, self._rows)
        self._projector.finish()
        frontier = self._frontier.extend(self._leaves)
        self._book.frontier = frontier.to_json()
        self._book.epoch = self._trust.epoch
        key = PrivateKey.from_pem(self._session.get_one(Key, (self._book.id, "head")).pem)
        if self._trust.head_key is None or key.thumbprint != self._trust.head_key.thumbprint:
            raise LostEntries(f"book {self._book.id}: its head key is not here", "Run `seamwalk restore`.")
        head = Head(
            self._book.id,
            self._trust.epoch,
            frontier.tree_size,
            frontier.root_hash.hex(),
            format_at(self._received_at),
        )
        signed = sign_head(key, head)
        fields = {"epoch": signed.epoch, "size": signed.size, "root": signed.root, "jws": signed.jws}
        self._session.add(SignedHead(book=self._book.id, **fields))


def _not_kept(entry: Entry, verdict: str, judgement: Judgement) -> Verdict:
    why = str(judgement.held or judgement.refused)
    return Verdict(entry.sha256, entry.id, verdict, None, why, judgement.detail, _REMEDIES[why])


def newest_head(session: Session, book_id: str) -> SignedHead:
    """The newest signed head of a book; raise NotFound."""
    query = select(SignedHead).where(SignedHead.book == book_id)
    head = session.scalars(query.order_by(SignedHead.epoch.desc(), SignedHead.size.desc()).limit(1)).first()
    if head is None:
        raise NotFound(f"book {book_id} is not on this server", "Look at the address, or ask the office.")
    return head


def size(session: Session, book_id: str) -> int:
    """How many entries a book has."""
    return newest_head(session, book_id).size


def page(session: Session, book_id: str, after: int, limit_bytes: int = 1_000_000) -> Page:
    """Entries under the newest head from index `after` on: about `limit_bytes`, at least one if any."""
    head = newest_head(session, book_id)
    where = (LedgerEntry.book == book_id, LedgerEntry.idx >= after, LedgerEntry.idx < head.size)
    query = select(LedgerEntry.jws).where(*where).order_by(LedgerEntry.idx)
    entries: list[str] = []
    used = 0
    with closing(session.scalars(query.execution_options(yield_per=200))) as rows:
        for jws in rows:
            if entries and used + len(jws) > limit_bytes:
                return Page(entries, True, head.jws)
            entries.append(jws)
            used += len(jws)
    return Page(entries, False, head.jws)


def held_entries(session: Session, book_id: str) -> list[HeldEntry]:
    """Entries kept apart, oldest first."""
    query = select(HeldEntry).where(HeldEntry.book == book_id)
    return list(session.scalars(query.order_by(HeldEntry.received_at, HeldEntry.entry)))


def count_held(session: Session, book_id: str) -> int:
    """How many entries of a book are kept apart."""
    return session.scalar(select(func.count()).select_from(HeldEntry).where(HeldEntry.book == book_id)) or 0
