"""Items made from entries: what many entries say of things is gathered, and written at once."""

from dataclasses import dataclass, field
from typing import Any, cast

from sqlalchemy import Table, bindparam, select, update
from sqlalchemy.orm import Session

from seamwalk.store.rows import among, insert_rows
from seamwalk.store.tables import Item

_FIELDS = ("kind", "tile_type", "home_case", "batch", "maker_serial")


@dataclass
class _Said:
    """What entries say of one thing in their order; `early` was said before this batch registered it."""

    early: dict[str, Any] = field(default_factory=dict)
    fields: dict[str, Any] | None = None


class Items:
    """What a batch of entries of one book says of its things, until it is written."""

    def __init__(self, session: Session, book: str) -> None:
        self._session = session
        self._book = book
        self._said: dict[str, _Said] = {}

    def register(self, code: str, **fields: Any) -> None:
        """A thing is there; one registered anew keeps its batch and serial."""
        said = self._said.setdefault(code, _Said())
        said.fields = (said.fields or {}) | fields

    def describe(self, code: str, **fields: Any) -> None:
        """Something is told of a thing; of one that nobody has registered it has no effect."""
        said = self._said.setdefault(code, _Said())
        (said.early if said.fields is None else said.fields).update(fields)

    def write(self) -> None:
        """Write what was gathered."""
        if not self._said:
            return
        here = (Item.book == self._book, among(self._session, Item.code, self._said.keys()))
        known = set(self._session.scalars(select(Item.code).where(*here)))
        fresh = [
            self._row(code, said.fields)
            for code, said in self._said.items()
            if code not in known and said.fields
        ]
        if fresh:
            insert_rows(self._session, Item, fresh)
        self._update(
            {code: said.early | (said.fields or {}) for code, said in self._said.items() if code in known}
        )
        self._said.clear()

    def _row(self, code: str, fields: dict[str, Any]) -> dict[str, Any]:
        return {"book": self._book, "code": code, **dict.fromkeys(_FIELDS), **fields}

    def _update(self, told: dict[str, dict[str, Any]]) -> None:
        """Set fields of things, those that set the same ones in one statement."""
        table = cast(Table, Item.__table__)
        for names in {tuple(fields) for fields in told.values()}:
            same = [{"of": code, **fields} for code, fields in told.items() if tuple(fields) == names]
            statement = update(table).where(table.c.book == self._book, table.c.code == bindparam("of"))
            values: dict[str, Any] = {name: bindparam(name) for name in names}
            self._session.connection().execute(statement.values(values), same)
