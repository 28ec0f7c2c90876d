"""Many rows at once: values asked for among many, rows written in one statement."""

import json
from collections.abc import Collection, Mapping, Sequence
from typing import Any, cast

from sqlalchemy import ARRAY, BigInteger, ColumnElement, String, Table, any_, bindparam, func, insert, select
from sqlalchemy.orm import Session

from seamwalk.store.tables import Base


def among(session: Session, column: Any, values: Collection[str | int]) -> ColumnElement[bool]:
    """Whether a column is one of many texts or whole numbers, which travel as one parameter."""
    if session.get_bind().dialect.name == "sqlite":
        each = func.json_each(json.dumps(list(values))).table_valued("value")
        return cast(ColumnElement[bool], column.in_(select(each.c.value)))
    kind = BigInteger if any(isinstance(value, int) for value in values) else String
    return cast(ColumnElement[bool], column == any_(bindparam(None, list(values), ARRAY(kind), unique=True)))


def holds(session: Session, column: Any, word: str) -> ColumnElement[bool]:
    """Whether a text column holds a word, whatever the case of its letters; SQLite's LIKE asks no more."""
    if session.get_bind().dialect.name == "sqlite":
        return cast(ColumnElement[bool], column.contains(word, autoescape=True))
    return cast(ColumnElement[bool], column.icontains(word, autoescape=True))


def insert_rows(session: Session, table: type[Base], rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows by column name, past the objects: thousands of them come at once."""
    session.connection().execute(insert(cast(Table, table.__table__)), rows)
