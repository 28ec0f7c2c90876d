"""Tables of the stock: labelled things, their labels, and where tiles stand. All of them are projections."""

from typing import Any

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.store.tables import BOOK, DEVICE, HASH, Base


class Item(Base):
    """A labelled thing of the company's stock and where it was last said to be."""

    __tablename__ = "items"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    code: Mapped[str] = mapped_column(String(20), primary_key=True)
    kind: Mapped[str] = mapped_column(String(20))
    tile_type: Mapped[str | None] = mapped_column(String(40))
    home_case: Mapped[str | None] = mapped_column(String(20))
    in_case: Mapped[str | None] = mapped_column(String(20))
    at_show: Mapped[str | None] = mapped_column(BOOK)
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
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    wall: Mapped[str] = mapped_column(String(8))
    tile: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(String(200))
    replaces: Mapped[list[Any]]
