"""Take entries in, each judged on its own; give them out in pages with a signed head."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry, format_at
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import sha256_hex
from seamwalk.book.json_text import is_clean
from seamwalk.book.judgement import Held, Judgement, Refused
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_entry, read_kept
from seamwalk.book.trust import TRUST_TYPES
from seamwalk.errors import BookError, LostEntries, NotFound
from seamwalk.store.entry_ids import resolve_targets
from seamwalk.store.ledger.keys import private_key
from seamwalk.store.ledger.texts import Text, Texts
from seamwalk.store.ledger.trust_state import load_trust
from seamwalk.store.ledger.witness import bears_out, require_whole
from seamwalk.store.projections.projections import Projector
from seamwalk.store.rows import insert_rows
from seamwalk.store.tables import Book, HeldEntry, LedgerEntry, SignedHead

# what a column of 64 bits does not hold; nor does a text hold NUL or lone surrogates
_PAST_DATABASE = 2**63
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
    "admission": "Admit the device under its own key and person, or make a new person of it.",
    "schema": "Save it as a file and show it to the office.",
}


@dataclass(frozen=True)
class Verdict:
    """What became of one text: kept, again, held or refused; `index` where its entry stands in the book.

    `sha256` is of the text that came. `id` is that of the text which stands for its entry here: another one
    when the entry had come before under another signature. `fork` tells that the device has written another
    entry under the same number.
    """

    sha256: str
    id: str | None
    verdict: str
    index: int | None = None
    why: str | None = None
    detail: str | None = None
    remedy: str | None = None
    fork: bool = False


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
        self._kept = Texts()
        self._held = Texts()

    def take(self, texts: Sequence[str]) -> list[Verdict]:
        read = [self._read(text) for text in texts]
        self._look_up([entry for entry in read if isinstance(entry, Entry)])
        verdicts = [self._verdict(item) if isinstance(item, Entry) else item for item in read]
        if self._rows:
            self._write()
        return verdicts

    def _read(self, text: str) -> Entry | Verdict:
        try:
            return read_entry(text)
        except BookError as error:
            return self._again_of_old(text) or _malformed(text, error)

    def _again_of_old(self, text: str) -> Verdict | None:
        """The verdict on a text that older rules let in and that comes again; None for any other."""
        try:
            entry = read_kept(text)
        except BookError:
            return None
        if entry.n >= _PAST_DATABASE or not is_clean(entry.device):
            return None
        self._look_up([entry])
        kept = self._kept.over(entry)
        return None if kept is None else self._again(entry, kept)

    def _look_up(self, entries: Sequence[Entry]) -> None:
        """Find what is here already under the devices and numbers of these entries."""
        numbers = [(entry.device, entry.n) for entry in entries]
        self._kept.look_up(self._session, LedgerEntry, self._book.id, numbers)
        self._held.look_up(self._session, HeldEntry, self._book.id, numbers)

    def _verdict(self, entry: Entry) -> Verdict:
        kept = self._kept.over(entry)
        if kept is not None:
            return self._again(entry, kept)
        judgement = self._judge(entry)
        if judgement.kept:
            return self._keep(entry)
        if judgement.held is not None:
            return self._hold(entry, judgement)
        return _not_kept(entry, "refused", judgement)

    def _again(self, entry: Entry, kept: Text) -> Verdict:
        """A text over a signing input that is kept: it is that entry, if its own signature is good."""
        if kept.jws != entry.jws:
            judgement = self._trust.judge_signature(entry)
            if not judgement.kept:
                return _not_kept(entry, "refused", judgement)
        return Verdict(entry.sha256, kept.id, "again", kept.idx)

    def _judge(self, entry: Entry) -> Judgement:
        """What the book's trust says, and for a sign-off whether its root is one that this book had."""
        judgement = self._trust.judge(entry)
        if not judgement.kept or entry.type != "signed_off" or self._trust.lets_in(entry):
            return judgement
        body = entry.body
        head = Head(self._book.id, body["epoch"], body["size"], body["root"], "")
        if head.epoch in self._trust.epochs and bears_out(self._session, head):
            return judgement
        return Judgement(held=Held.OTHER_ROOT, detail="it was signed over entries that are not this book's")

    def _keep(self, entry: Entry) -> Verdict:
        index = self._frontier.tree_size + len(self._leaves)
        fork = self._kept.has_number(entry)
        self._leaves.append(bytes.fromhex(entry.id))
        self._kept.add(entry, index)
        void = self._trust.take(entry) if entry.type in TRUST_TYPES else None
        row = {
            "book": self._book.id,
            "idx": index,
            "entry": entry.id,
            "other": entry.other_id,
            "type": entry.type,
            "device": entry.device,
            "n": entry.n,
            "prev": entry.prev,
            "fork": fork,
            "void": None if void is None else void.value,
            "jws": entry.jws,
            "kept_at": self._kept_at,
        }
        self._rows.append(row)
        if void is None:
            self._projector.apply(index, entry, self._trust.author_of(entry), self._kept_at)
        self._release(entry)
        if entry.type in ("device_admitted", "entry_admitted", "rules_begun"):
            self._reconsider()
        return Verdict(entry.sha256, entry.id, "kept", index, fork=fork)

    def _hold(self, entry: Entry, judgement: Judgement) -> Verdict:
        held = self._held.over(entry)
        if held is not None:
            return _not_kept(entry, "held", judgement, held.id)
        self._held.add(entry, None)
        fields = {"entry": entry.id, "device": entry.device, "n": entry.n, "jws": entry.jws}
        why, at = str(judgement.held), self._received_at
        self._session.add(HeldEntry(book=self._book.id, received_at=at, why=why, **fields))
        return _not_kept(entry, "held", judgement)

    def _release(self, entry: Entry) -> None:
        held = self._held.over(entry)
        if held is not None:
            self._held.remove(entry, held)
            self._drop(held.id)

    def _drop(self, held_id: str) -> None:
        where = (HeldEntry.book == self._book.id, HeldEntry.entry == held_id)
        self._session.execute(delete(HeldEntry).where(*where))

    def _reconsider(self) -> None:
        """Keep held entries that an admission has let in, in the order of their own numbers.

        Second texts over what is kept or held, as rules 1 let them wait, go.
        """
        query = select(HeldEntry.jws).where(HeldEntry.book == self._book.id)
        query = query.order_by(HeldEntry.device, HeldEntry.n, HeldEntry.received_at, HeldEntry.entry)
        waiting = [self._read(jws) for jws in self._session.scalars(query).all()]
        entries = [entry for entry in waiting if isinstance(entry, Entry)]
        self._look_up(entries)
        for entry in entries:
            held = self._held.over(entry)
            if self._kept.over(entry) is not None or (held is not None and held.id != entry.id):
                self._drop(entry.id)
            elif self._judge(entry).kept:
                self._keep(entry)

    def _write(self) -> None:
        insert_rows(self._session, LedgerEntry, self._rows)
        kept = {str(row["other"]): str(row["entry"]) for row in self._rows}
        resolve_targets(self._session, self._book.id, kept)
        self._projector.finish()
        frontier = self._frontier.extend(self._leaves)
        self._book.frontier = frontier.to_json()
        self._book.epoch = self._trust.epoch
        key = private_key(self._session, self._book.id, "head")
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


def _malformed(text: str, error: BookError) -> Verdict:
    sha, why = sha256_hex(str(text).encode("utf-8", "surrogatepass")), Refused.MALFORMED.value
    return Verdict(sha, None, "refused", None, why, error.message, _REMEDIES[why])


def _not_kept(entry: Entry, verdict: str, judgement: Judgement, text_id: str | None = None) -> Verdict:
    why = str(judgement.held or judgement.refused)
    return Verdict(entry.sha256, text_id or entry.id, verdict, None, why, judgement.detail, _REMEDIES[why])


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


def held_entries(session: Session, book_id: str) -> list[HeldEntry]:
    """Entries kept apart, oldest first."""
    query = select(HeldEntry).where(HeldEntry.book == book_id)
    return list(session.scalars(query.order_by(HeldEntry.received_at, HeldEntry.entry)))


def count_held(session: Session, book_id: str) -> int:
    """How many entries of a book are kept apart."""
    return session.scalar(select(func.count()).select_from(HeldEntry).where(HeldEntry.book == book_id)) or 0
