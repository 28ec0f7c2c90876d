"""Look at the stored books for damage: quickly at each start, entry by entry on demand."""

from collections.abc import Iterator

from sqlalchemy import func, select, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from seamwalk.book.head import read_head
from seamwalk.book.jose import sha256_hex
from seamwalk.book.judgement import Void
from seamwalk.book.merkle import Frontier, root_of
from seamwalk.book.parsing import read_kept
from seamwalk.book.rules import NEWEST
from seamwalk.book.trust import Trust, read_at
from seamwalk.errors import BookError, SeamwalkError
from seamwalk.store.ledger.books import list_books
from seamwalk.store.ledger.intake import newest_head
from seamwalk.store.ledger.keys import key_problems
from seamwalk.store.ledger.witness import contradictions
from seamwalk.store.projections.projection_tables import PROJECTIONS
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.tables import Blob, Book, HeldEntry, Key, LedgerEntry

COPY_BACK = "Put the newest copy back and run `seamwalk restore`; phones bring what it lacks."
REBUILD = "Run `seamwalk rebuild`."


def check(session: Session, *, full: bool) -> list[str]:
    """What is wrong, a line each with the way back.

    Damage, else what phones have seen that is not here, and private keys that do not open or are others.
    """
    return find_damage(session, full=full) or [*_lost_entries(session), *key_problems(session)]


def _lost_entries(session: Session) -> Iterator[str]:
    """What phones have seen that is not here."""
    for book in list_books(session):
        for seen in contradictions(session, book.id):
            yield f"{book.slug}: a phone has seen {seen.size} entries that are not all here. {COPY_BACK}"


def find_damage(session: Session, *, full: bool) -> list[str]:
    """What is damaged, a line each with the way back; `full` reads every entry, not the heads alone."""
    found: list[str] = []
    try:
        found += _check_database(session) if full else []
        for book in list_books(session):
            found += [f"{book.slug}: {line}" for line in _check_book(session, book, full=full)]
    except (DBAPIError, ValueError, KeyError, TypeError) as error:
        detail = error.orig if isinstance(error, DBAPIError) else error
        found.append(f"the database cannot be read ({detail}). {COPY_BACK}")
    except SeamwalkError as error:
        found.append(f"{error.message}. {COPY_BACK}")
    return found


def _check_database(session: Session) -> Iterator[str]:
    if session.get_bind().dialect.name == "sqlite":
        for row in session.execute(text("PRAGMA integrity_check")).scalars():
            if row != "ok":
                yield f"the database file is damaged ({row}). {COPY_BACK}"


def _check_book(session: Session, book: Book, *, full: bool) -> Iterator[str]:
    yield from _check_head(session, book)
    if full:
        yield from _Replay(session, book).run()


def _check_head(session: Session, book: Book) -> Iterator[str]:
    """The newest head against the frontier and the number of entries."""
    head = newest_head(session, book.id)
    frontier = Frontier.from_json(book.frontier)
    where = LedgerEntry.book == book.id
    count, last = session.execute(select(func.count(), func.max(LedgerEntry.idx)).where(where)).one()
    if (head.size, head.root) != (frontier.tree_size, frontier.root_hash.hex()):
        yield f"its newest head and its frontier differ. {COPY_BACK}"
    if (count, last) != (head.size, head.size - 1):
        yield f"{count} entries are here, the newest head speaks of {head.size}. {COPY_BACK}"
    for purpose in ("owner", "head"):
        if session.get(Key, (book.id, purpose)) is None:
            yield f"its {purpose} key is not here. {COPY_BACK}"


class _Replay:
    """One book, entry by entry, as `seamwalk verify` would read it."""

    def __init__(self, session: Session, book: Book) -> None:
        self._session = session
        self._book = book
        self._trust = Trust(book.id)
        self._leaves: list[bytes] = []

    def run(self) -> Iterator[str]:
        query = select(LedgerEntry).where(LedgerEntry.book == self._book.id).order_by(LedgerEntry.idx)
        for row in self._session.scalars(query.execution_options(yield_per=500)):
            problem = self._entry(row)
            if problem is not None:
                yield f"entry {row.idx}: {problem}. {COPY_BACK}"
                return
        yield from self._head()
        yield from self._blobs()
        yield from self._held()
        yield from self._projections()

    def _entry(self, row: LedgerEntry) -> str | None:
        """What is wrong with a row, None when nothing is."""
        try:
            entry, rules = read_at(row.jws, self._trust)
        except BookError as error:
            return error.message
        stored = (row.idx, row.entry, row.other, row.type, row.device, row.n, row.prev)
        expected = (entry.id, entry.other_id, entry.type, entry.device, entry.n, entry.prev)
        if stored != (len(self._leaves), *expected):
            return "its row tells it differently"
        judgement = self._trust.judge(entry, rules)
        void = self._trust.take(entry) if judgement.refused is None else None
        self._leaves.append(bytes.fromhex(entry.id))
        if (void is None and not judgement.kept) or (void is Void.TWIN and rules >= NEWEST):
            return judgement.detail or "it stands here twice"
        return None if row.void == void else "its row tells another effect"

    def _head(self) -> Iterator[str]:
        row = newest_head(self._session, self._book.id)
        if self._trust.head_key is None:
            yield f"it has no key for heads. {COPY_BACK}"
            return
        try:
            head = read_head(row.jws, self._trust.head_key)
        except BookError as error:
            yield f"{error.message}. {COPY_BACK}"
            return
        stored = (row.size, row.root, row.epoch, self._book.epoch)
        expected = (len(self._leaves), root_of(self._leaves).hex(), self._trust.epoch, self._trust.epoch)
        if stored != expected or (head.size, head.root, head.epoch) != expected[:3]:
            yield f"its entries do not add up to its head. {COPY_BACK}"
        owner = self._trust.owner
        if owner is None or owner.thumbprint != self._book.owner_fingerprint:
            yield f"it names another owner than its first entry. {COPY_BACK}"

    def _blobs(self) -> Iterator[str]:
        where = (Blob.book == self._book.id, Blob.data.is_not(None))
        query = select(Blob.sha256, Blob.data).where(*where).execution_options(yield_per=50)
        for name, data in self._session.execute(query):
            if sha256_hex(data or b"") != name:
                yield f"text or file {name} is damaged. {COPY_BACK}"

    def _held(self) -> Iterator[str]:
        for row in self._session.scalars(select(HeldEntry).where(HeldEntry.book == self._book.id)):
            try:
                fits = read_kept(row.jws).id == row.entry
            except BookError:
                fits = False
            if not fits:
                yield f"held entry {row.entry} is damaged. Let its phone send it again."

    def _projections(self) -> Iterator[str]:
        """Make the tables again beside those that are there, compare, and leave everything as it was."""
        before = self._rows()
        with self._session.begin_nested() as savepoint:
            rebuild(self._session, self._book.id)
            self._session.expire_all()
            after = self._rows()
            savepoint.rollback()
        for table, rows in before.items():
            if rows != after[table]:
                yield f"table {table} is not what the book says. {REBUILD}"

    def _rows(self) -> dict[str, set[str]]:
        return {
            table.__tablename__: {
                str([getattr(row, column.key) for column in table.__mapper__.column_attrs])
                for row in self._session.scalars(select(table).where(table.book == self._book.id))
            }
            for table in PROJECTIONS
        }
