"""One sync of one phone: what it saw is compared, what it brings is taken in, what it lacks is given."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from seamwalk.errors import Conflict
from seamwalk.store.access import phones
from seamwalk.store.engine import Store
from seamwalk.store.ledger import intake, readers, witness
from seamwalk.store.ledger.intake import Verdict
from seamwalk.store.ledger.readers import Line, reader_of


@dataclass(frozen=True)
class SyncInput:
    """What a phone brings: the size it has, its entries, the newest head it has checked (a JWS or None).

    `texts` are indexes of which it has the leaves alone and asks for the texts; `leaves` tells that it takes
    bare leaves.
    """

    after: int
    entries: list[str] = field(default_factory=list)
    head: str | None = None
    texts: list[int] = field(default_factory=list)
    leaves: bool = False


@dataclass(frozen=True)
class SyncResult:
    """What it gets: a verdict for each entry in their order, and a page of the book if it may read.

    `reading` is ok, sign_in (it may not read), or restored: then it gets the restores it has to cross, and
    nothing it brought was looked at.
    """

    reading: str
    verdicts: list[Verdict] = field(default_factory=list)
    entries: list[Line] | None = None
    more: bool = False
    head: str | None = None
    held: int = 0
    texts: list[dict[str, Any]] = field(default_factory=list)
    restored: list[str] = field(default_factory=list)


def exchange(store: Store, book_id: str, request: SyncInput, device: str | None, now: datetime) -> SyncResult:
    """Sync with a phone that is signed in as `device`, or as nobody (None).

    1. Its head is compared with the book; a phone of an earlier epoch gets the restores and nothing else.
    2. Its entries are judged and kept, in one transaction; that needs no session.
    3. With a session it gets a page from index `after` on, the signed head, and the texts that it asks for.

    Raise LostEntries when the phone has seen what this book lacks, BookError when its head is malformed,
    Conflict when the app does not know bare leaves and its role needs them, NotFound for an unknown book.
    """
    restores = _compare(store, book_id, request.head, now)
    if restores:
        return SyncResult("restored", restored=restores)
    verdicts: list[Verdict] = []
    if request.entries:
        with store.write() as session:
            verdicts = intake.ingest(session, book_id, request.entries, now)
    with store.read() as session:
        admitted = phones.admitted(session, book_id, device)
        if admitted is None:
            return SyncResult("sign_in", verdicts)
        reader = reader_of(session, admitted)
        if not (request.leaves or reader.reads_all):
            raise Conflict("this app is too old for its role", "Take the app's new version, then sync again.")
        page = readers.page(session, book_id, request.after, reader)
        texts = readers.texts(session, book_id, reader, request.texts) if request.texts else []
        if request.after > intake.size(session, book_id):
            raise witness.lost_entries(book_id, f"after: {request.after} is past its end")
        held = intake.count_held(session, book_id)
        return SyncResult("ok", verdicts, page.entries, page.more, page.head, held, texts)


def _compare(store: Store, book_id: str, head: str | None, now: datetime) -> list[str]:
    """The restores that a phone with this head has to cross.

    A head that the book does not bear out is kept as evidence; raise LostEntries then.
    """
    if head is None:
        return []
    with store.read() as session:
        found = witness.compare(session, book_id, head)
    if found.fits:
        return [restore.jws for restore in found.restores]
    with store.write() as session:
        witness.note_contradiction(session, found.head, now)
    raise witness.lost_entries(
        book_id, f"this phone has seen {found.head.size} entries that are not all here"
    )
