"""Many rows at once: values asked for among many, rows written in one statement."""

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from functools import lru_cache
from operator import itemgetter
from typing import Any, cast

from sqlalchemy import (
    ARRAY,
    BigInteger,
    Boolean,
    ColumnElement,
    Dialect,
    String,
    Table,
    any_,
    bindparam,
    func,
    insert,
    select,
    tuple_,
)
from sqlalchemy import cast as sql_cast
from sqlalchemy.orm import Session

from seamwalk.store.tables import Base

_Row = Mapping[str, Any]


def among(session: Session, column: Any, values: Collection[str | int]) -> ColumnElement[bool]:
    """Whether a column is one of many texts or whole numbers, which travel as one parameter."""
    if session.get_bind().dialect.name == "sqlite":
        each = func.json_each(json.dumps(list(values))).table_valued("value")
        return cast(ColumnElement[bool], column.in_(select(each.c.value)))
    kind = BigInteger if any(isinstance(value, int) for value in values) else String
    return cast(ColumnElement[bool], column == any_(bindparam(None, list(values), ARRAY(kind), unique=True)))


def among_pairs(
    session: Session, text: Any, number: Any, pairs: Collection[tuple[str, int]]
) -> ColumnElement[bool]:
    """Whether a text and a whole number are one of many pairs, which travel as one parameter."""
    if session.get_bind().dialect.name == "sqlite":
        pair = func.json_each(json.dumps(list(pairs))).table_valued("value").c.value
        members = (func.json_extract(pair, "$[0]"), func.json_extract(pair, "$[1]"))
        # the types that the columns have: without them SQLite seeks by the first of the two alone
        rows = select(sql_cast(members[0], String), sql_cast(members[1], BigInteger))
    else:
        texts = bindparam(None, [pair[0] for pair in pairs], ARRAY(String), unique=True)
        numbers = bindparam(None, [pair[1] for pair in pairs], ARRAY(BigInteger), unique=True)
        each = func.unnest(texts, numbers).table_valued("text", "number").render_derived()
        rows = select(each.c.text, each.c.number)
    return tuple_(text, number).in_(rows)


def holds(session: Session, column: Any, word: str) -> ColumnElement[bool]:
    """Whether a text column holds a word, whatever the case of its letters; SQLite's LIKE asks no more."""
    if session.get_bind().dialect.name == "sqlite":
        return cast(ColumnElement[bool], column.contains(word, autoescape=True))
    return cast(ColumnElement[bool], column.icontains(word, autoescape=True))


def insert_rows(session: Session, table: type[Base], rows: Sequence[_Row]) -> None:
    """Insert rows that all name the same columns, past the objects and the parameters that SQLAlchemy makes.

    Thousands come at once. A column that has a default is named, too.
    """
    connection = session.connection()
    names = tuple(rows[0])
    statement, values_of = _insert(cast(Table, table.__table__), connection.dialect, names)
    connection.exec_driver_sql(statement, [values_of(row) for row in rows])


@lru_cache(maxsize=64)
def _insert(table: Table, dialect: Dialect, names: tuple[str, ...]) -> tuple[str, Callable[[_Row], Any]]:
    """The statement that inserts such rows, and what makes its values of one."""
    compiled = insert(table).compile(dialect=dialect, column_keys=names)
    kinds = {name: table.c[name].type for name in names}
    # both drivers take a bool as it is
    made = {
        name: kind.dialect_impl(dialect).bind_processor(dialect)
        for name, kind in kinds.items()
        if not isinstance(kind, Boolean)
    }
    writers = [(name, write) for name, write in made.items() if write is not None]
    pick = itemgetter(*compiled.positiontup) if compiled.positiontup else dict

    def written(row: _Row) -> Any:
        return pick({**row, **{name: write(row[name]) for name, write in writers}})

    return str(compiled), written if writers else pick
