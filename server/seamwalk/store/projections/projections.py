"""Tables made from entries: applied as entries are kept, made again from the ledger, equal."""

from collections.abc import Callable, Iterable
from typing import Any

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry, blobs_of
from seamwalk.book.judgement import Void
from seamwalk.book.parsing import read_kept
from seamwalk.book.trust import Trust
from seamwalk.signoffs.acts import named_checks
from seamwalk.store.entry_ids import kept_ids
from seamwalk.store.projections.check_states import to_act, update_states
from seamwalk.store.projections.items import Items
from seamwalk.store.projections.movements import movements_of
from seamwalk.store.projections.projection_tables import PROJECTIONS
from seamwalk.store.rows import among, insert_rows
from seamwalk.store.tables import (
    ActCheck,
    ActivityRow,
    ActRow,
    BindingRow,
    BlobUse,
    Device,
    Item,
    ItemChange,
    ItemLabel,
    LedgerEntry,
    MovementRow,
    RevokedLabel,
    SignOff,
    TypeAttributesRow,
    WallPlan,
)


class Projector:
    """Applies kept entries of one book, in index order, to its projections."""

    def __init__(self, session: Session, book: str) -> None:
        self._session = session
        self._book = book
        self._acts: list[dict[str, Any]] = []
        self._act_checks: list[dict[str, Any]] = []
        self._movements: list[dict[str, Any]] = []
        self._blob_uses: list[dict[str, Any]] = []
        self._items = Items(session, book)

    def apply(self, idx: int, entry: Entry, author: str, kept_at: str | None) -> None:
        """Apply one entry by `author` that came in at `kept_at`; much of it waits for `finish`."""
        self._movements += movements_of(self._book, idx, entry, author, kept_at)
        for name in set(blobs_of(entry)):
            self._blob_uses.append({"book": self._book, "idx": idx, "sha256": name})
        handler = _HANDLERS.get(entry.type)
        if handler is not None:
            handler(self, idx, entry, author)

    def finish(self) -> None:
        """Write what was gathered, and add up the checks that findings touch."""
        self._items.write()
        for table, rows in ((MovementRow, self._movements), (BlobUse, self._blob_uses)):
            if rows:
                insert_rows(self._session, table, rows)
                rows.clear()
        if not self._acts:
            return
        self._name_targets()
        insert_rows(self._session, ActRow, self._acts)
        if self._act_checks:
            insert_rows(self._session, ActCheck, self._act_checks)
        update_states(self._session, self._book, [to_act(row) for row in self._acts])
        self._acts, self._act_checks = [], []

    def _name_targets(self) -> None:
        """Let what is taken back be named by its kept id."""
        targets = {row["target"] for row in self._acts if row["target"] is not None}
        if targets:
            kept = kept_ids(self._session, self._book, targets)
            for row in self._acts:
                row["target"] = kept.get(row["target"], row["target"])

    def _act(
        self,
        idx: int,
        entry: Entry,
        author: str,
        kind: str,
        checks: list[str],
        answers: list[str] | None = None,
        target: str | None = None,
        reopens: list[str] | None = None,
    ) -> None:
        body = entry.body
        row = {
            "book": self._book,
            "idx": idx,
            "entry": entry.id,
            "other": entry.other_id,
            "kind": kind,
            "author": author,
            "device": entry.device,
            "at": entry.at,
            "checks": checks,
            "weight": body.get("weight"),
            "reason": body.get("reason"),
            "note_blob": body.get("note_blob"),
            "answers": answers or [],
            "reopens": reopens or [],
            "ahead": body.get("ahead"),
            "duty": body.get("duty"),
            "target": target,
        }
        self._acts.append(row)
        for check in checks:
            named = {"book": self._book, "check_id": check, "idx": idx, "answering": bool(answers)}
            self._act_checks.append(named)

    def _found(self, idx: int, entry: Entry, author: str) -> None:
        body = entry.body
        checks, reopens = named_checks(body)
        self._act(idx, entry, author, body["result"], checks, body.get("answers"), reopens=reopens)
        if body.get("readings") or body.get("photo_blobs") or body.get("chosen"):
            self.log_activity(idx, entry, author)

    def _swapped(self, idx: int, entry: Entry, author: str) -> None:
        self._act(idx, entry, author, "reopened", sorted(set(entry.body["reopens"])))
        self.log_activity(idx, entry, author)

    def _stop_released(self, idx: int, entry: Entry, author: str) -> None:
        body = entry.body
        self._act(idx, entry, author, "released", [body["check"]], [body["fault"]])
        self.log_activity(idx, entry, author)

    def log_activity(self, idx: int, entry: Entry, author: str) -> None:
        """Tell an entry in the show's log."""
        fields = {"entry": entry.id, "type": entry.type, "device": entry.device, "at": entry.at}
        self._session.add(ActivityRow(book=self._book, idx=idx, author=author, body=entry.body, **fields))

    def _withdrawn(self, idx: int, entry: Entry, author: str) -> None:
        self._act(idx, entry, author, "withdrawn", [], target=entry.body["entry"])

    def _tile_bound(self, _idx: int, entry: Entry, author: str) -> None:
        body = entry.body
        where = {name: body[name] for name in ("wall", "tile", "replaces")}
        who = {"author": author, "device": entry.device, "at": entry.at}
        name = body["item"] or body["tag"]
        ids = {"entry": entry.id, "other": entry.other_id}
        self._session.add(BindingRow(book=self._book, name=name, **ids, **where, **who))

    def _device_admitted(self, idx: int, entry: Entry, _author: str) -> None:
        body = entry.body
        fields = {name: body[name] for name in ("device", "jwk", "person", "name_blob", "role")}
        self._session.merge(Device(book=self._book, admitted_idx=idx, revoked_idx=None, **fields))

    def _device_revoked(self, idx: int, entry: Entry, _author: str) -> None:
        where = (Device.book == self._book, Device.device == entry.body["device"])
        self._session.execute(update(Device).where(*where).values(revoked_idx=idx))

    def _plan_set(self, idx: int, entry: Entry, _author: str) -> None:
        body = entry.body
        fields = {name: body[name] for name in ("wall", "title", "replaces", "plan_file", "checks_file")}
        ids = {"entry": entry.id, "other": entry.other_id}
        self._session.add(WallPlan(book=self._book, idx=idx, **ids, **fields))

    def _signed_off(self, idx: int, entry: Entry, _author: str) -> None:
        fields = {"device": entry.device, "at": entry.at, "wall": entry.body["wall"], "body": entry.body}
        self._session.add(SignOff(book=self._book, entry=entry.id, idx=idx, **fields))

    def _item_registered(self, _idx: int, entry: Entry, _author: str) -> None:
        body = entry.body
        fields = {name: body.get(name) for name in ("kind", "tile_type", "home_case")}
        self._items.register(body["item"], **fields)

    def _item_relabelled(self, _idx: int, entry: Entry, _author: str) -> None:
        label, item = entry.body["label"], entry.body["item"]
        self._session.merge(ItemLabel(book=self._book, label=label, item=item))

    def _label_revoked(self, _idx: int, entry: Entry, _author: str) -> None:
        label, reason = entry.body["label"], entry.body["reason"]
        self._session.merge(RevokedLabel(book=self._book, label=label, reason=reason))

    def _item_described(self, _idx: int, entry: Entry, _author: str) -> None:
        columns = {name: entry.body[name] for name in ("batch", "maker_serial") if entry.body.get(name)}
        if columns:
            self._items.describe(entry.body["item"], **columns)

    def _items_edited(self, idx: int, entry: Entry, _author: str) -> None:
        self._items.write()
        body = entry.body
        field = {"batch": Item.batch, "home_case": Item.home_case, "tile_type": Item.tile_type}[body["field"]]
        here = (Item.book == self._book, among(self._session, Item.code, body["items"]))
        rows = self._session.execute(select(Item.code, field).where(*here))
        now: dict[str, str | None] = {row[0]: row[1] for row in rows}
        wanted = self._before(body["undoes"], now) if body["undoes"] else dict.fromkeys(now, body["value"])
        changes = [
            {"item": item, "before": now[item], "after": value}
            for item, value in wanted.items()
            if now[item] != value
        ]
        same = {"book": self._book, "idx": idx, "entry": entry.id, "field": body["field"]}
        for value in {change["after"] for change in changes}:
            codes = [str(change["item"]) for change in changes if change["after"] == value]
            where = (Item.book == self._book, among(self._session, Item.code, codes))
            self._session.execute(update(Item).where(*where).values({body["field"]: value}))
        if changes:
            insert_rows(self._session, ItemChange, [same | change for change in changes])

    def _before(self, edit: str, now: dict[str, str | None]) -> dict[str, str | None]:
        """What an edit found where its value still stands."""
        edit = kept_ids(self._session, self._book, [edit]).get(edit, edit)
        rows = self._session.scalars(
            select(ItemChange).where(ItemChange.book == self._book, ItemChange.entry == edit)
        )
        return {row.item: row.before for row in rows if row.item in now and now[row.item] == row.after}

    def _type_described(self, _idx: int, entry: Entry, _author: str) -> None:
        named = {name: entry.body[name] for name in ("kind", "type")}
        self._session.merge(TypeAttributesRow(book=self._book, body=entry.body, **named))


# what a show's log tells, and nothing follows from in a table
_LOGGED = ("procedure_walked", "strike_opened", "strike_closed", "circuits_switched", "pace_answered")
_HANDLERS: dict[str, Callable[[Projector, int, Entry, str], None]] = {
    name: getattr(Projector, f"_{name}")
    for name in (
        "found",
        "swapped",
        "stop_released",
        "withdrawn",
        "tile_bound",
        "device_admitted",
        "device_revoked",
        "plan_set",
        "signed_off",
        "item_registered",
        "item_relabelled",
        "item_described",
        "label_revoked",
        "items_edited",
        "type_described",
    )
} | dict.fromkeys(_LOGGED, Projector.log_activity)


def rebuild(session: Session, book: str) -> int:
    """Throw a book's projections away and make them again from its ledger; return the entries read.

    Which entries have no effect, and which share their number, is worked out again as well.
    """
    for table in PROJECTIONS:
        session.execute(delete(table).where(table.book == book))
    trust, projector, count = Trust(book), Projector(session, book), 0
    numbers: set[tuple[str, int]] = set()
    for idx, jws, kept_at, *marks in _ledger(session, book):
        entry = read_kept(jws)
        void = trust.take(entry)
        number = (entry.device, entry.n)
        _mark(session, book, idx, marks, [number in numbers and void is not Void.TWIN, void])
        numbers.add(number)
        if void is None:
            projector.apply(idx, entry, trust.author_of(entry), kept_at)
        count += 1
    projector.finish()
    return count


def _mark(session: Session, book: str, idx: int, then: list[Any], now: list[Any]) -> None:
    """Bring the marks on an entry's row up to date: whether it is a fork, and why it has no effect."""
    if then != now:
        where = (LedgerEntry.book == book, LedgerEntry.idx == idx)
        session.execute(update(LedgerEntry).where(*where).values(fork=now[0], void=now[1]))


def _ledger(session: Session, book: str) -> Iterable[tuple[int, str, str | None, bool, str | None]]:
    columns = (LedgerEntry.idx, LedgerEntry.jws, LedgerEntry.kept_at, LedgerEntry.fork, LedgerEntry.void)
    at, most = -1, 1000
    while True:
        where = (LedgerEntry.book == book, LedgerEntry.idx > at)
        rows = session.execute(select(*columns).where(*where).order_by(LedgerEntry.idx).limit(most)).all()
        for row in rows:
            yield row.idx, row.jws, row.kept_at, row.fork, row.void
        if len(rows) < most:
            return
        at = rows[-1].idx
