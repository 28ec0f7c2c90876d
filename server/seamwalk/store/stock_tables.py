"""Tables of the stock: things, their labels, where they were. All but saved lists are projections."""

from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, String, text
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.store.tables import BOOK, DEVICE, HASH, Base


class Item(Base):
    """A labelled thing of the company's stock; its newest movement says where it is."""

    __tablename__ = "items"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    code: Mapped[str] = mapped_column(String(20), primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    tile_type: Mapped[str | None] = mapped_column(String(40))
    home_case: Mapped[str | None] = mapped_column(String(20))
    batch: Mapped[str | None] = mapped_column(String(60))
    maker_serial: Mapped[str | None] = mapped_column(String(60))


class ItemLabel(Base):
    """A later label of a thing, given out when an earlier one could not be read any more."""

    __tablename__ = "item_labels"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    label: Mapped[str] = mapped_column(String(20), primary_key=True)
    item: Mapped[str] = mapped_column(String(20))


class RevokedLabel(Base):
    """A label that must not be used any more, and why."""

    __tablename__ = "revoked_labels"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    label: Mapped[str] = mapped_column(String(20), primary_key=True)
    reason: Mapped[str] = mapped_column(String(200))


class BindingRow(Base):
    """A tile of the stock at a place of a wall, as somebody wrote it down."""

    __tablename__ = "bindings"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    other: Mapped[str] = mapped_column(HASH)
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    wall: Mapped[str] = mapped_column(String(8))
    tile: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(String(200))
    replaces: Mapped[list[Any]]


# the condition of an index: spell it the same way to use it
HAS_TOLD = text("told IS NOT NULL")


class MovementRow(Base):
    """An entry spoke of a thing, and maybe said where it was: in a case, at a show, at a place of a wall."""

    __tablename__ = "traces"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    item: Mapped[str] = mapped_column(String(20), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH)
    type: Mapped[str] = mapped_column(String(40))
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    kept_at: Mapped[str | None] = mapped_column(String(24))
    seen_at: Mapped[str] = mapped_column(String(24))
    case_code: Mapped[str | None] = mapped_column(String(20))
    show: Mapped[str | None] = mapped_column(BOOK)
    place: Mapped[str | None] = mapped_column(String(80))
    stage: Mapped[str | None] = mapped_column(String(10))
    told: Mapped[str | None] = mapped_column(String(24))
    __table_args__ = (
        Index("ix_traces_item", "item", "seen_at"),
        Index("ix_traces_case", "case_code", "seen_at"),
        Index("ix_traces_told", "told", sqlite_where=HAS_TOLD, postgresql_where=HAS_TOLD),
    )


class ItemChange(Base):
    """What an edit made of a thing's field, so that it can be undone."""

    __tablename__ = "item_changes"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    item: Mapped[str] = mapped_column(String(20), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH)
    field: Mapped[str] = mapped_column(String(20))
    before: Mapped[str | None] = mapped_column(String(60))
    after: Mapped[str | None] = mapped_column(String(60))
    __table_args__ = (Index("ix_item_changes_entry", "entry"),)


class TypeAttributesRow(Base):
    """What the company says of things of a kind and type: mass, size, price."""

    __tablename__ = "types_described"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    kind: Mapped[str] = mapped_column(String(20), primary_key=True)
    type: Mapped[str] = mapped_column(String(40), primary_key=True)
    body: Mapped[dict[str, Any]]


class SavedList(Base):
    """A search that the office keeps under a name; no projection, it is in no book."""

    __tablename__ = "saved_lists"
    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    query: Mapped[dict[str, Any]]
