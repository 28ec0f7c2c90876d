"""A show's walls and its log: projections."""

from typing import Any

from sqlalchemy import BigInteger, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from seamwalk.store.db import Model
from seamwalk.store.tables.columns import BOOK, DEVICE, HASH


class WallPlan(Model):
    """A plan of a wall; which one stands follows from what each replaces."""

    __tablename__ = "plans"
    book: Mapped[str] = mapped_column(BOOK, ForeignKey("books.id"), primary_key=True)
    entry: Mapped[str] = mapped_column(HASH, primary_key=True)
    other: Mapped[str] = mapped_column(HASH)
    idx: Mapped[int] = mapped_column(BigInteger)
    wall: Mapped[str] = mapped_column(String(8))
    title: Mapped[str] = mapped_column(String(200))
    replaces: Mapped[str | None] = mapped_column(HASH)
    plan_file: Mapped[str] = mapped_column(HASH)
    checks_file: Mapped[str] = mapped_column(HASH)


class ActivityRow(Model):
    """What was told beside the checks: an act, a changed part, a reading or a photo."""

    __tablename__ = "told"
    book: Mapped[str] = mapped_column(BOOK, primary_key=True)
    idx: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    entry: Mapped[str] = mapped_column(HASH)
    type: Mapped[str] = mapped_column(String(40))
    author: Mapped[str] = mapped_column(DEVICE)
    device: Mapped[str] = mapped_column(DEVICE)
    at: Mapped[str] = mapped_column(String(24))
    body: Mapped[dict[str, Any]]
