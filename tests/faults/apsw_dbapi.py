"""Just enough of the DB-API over apsw for SQLAlchemy's SQLite dialect: apsw lets a test be the disk."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

import apsw

paramstyle = "qmark"
threadsafety = 1
sqlite_version = apsw.sqlite_lib_version()
sqlite_version_info = tuple(int(part) for part in sqlite_version.split("."))
PARSE_DECLTYPES = PARSE_COLNAMES = 0
Binary = bytes

Error = DatabaseError = OperationalError = IntegrityError = apsw.Error
InterfaceError = DataError = InternalError = ProgrammingError = NotSupportedError = Warning = apsw.Error


class Cursor:
    """A cursor that has fetched everything: SQLite statements of these tests are short."""

    arraysize = 1
    lastrowid = None

    def __init__(self, connection: "Connection") -> None:
        self._connection = connection
        self._rows: list[Sequence[Any]] = []
        self.description: Sequence[Any] | None = None
        self.rowcount = -1

    def execute(self, statement: str, parameters: Sequence[Any] = ()) -> "Cursor":
        cursor = self._connection.raw.cursor()
        self.description = None

        def look(made: apsw.Cursor, _statement: str, _parameters: Any) -> bool:
            columns = made.get_description()
            self.description = [(name, *[None] * 6) for name, *_ in columns] or None
            return True

        cursor.exec_trace = look
        before = self._connection.raw.total_changes()
        self._rows = list(cursor.execute(statement, tuple(parameters)))
        self.rowcount = self._connection.raw.total_changes() - before
        return self

    def executemany(self, statement: str, many: Iterable[Sequence[Any]]) -> "Cursor":
        for parameters in many:
            self.execute(statement, parameters)
        return self

    def fetchone(self) -> Sequence[Any] | None:
        return self._rows.pop(0) if self._rows else None

    def fetchmany(self, size: int | None = None) -> list[Sequence[Any]]:
        taken, self._rows = self._rows[: size or 1], self._rows[size or 1 :]
        return taken

    def fetchall(self) -> list[Sequence[Any]]:
        rows, self._rows = self._rows, []
        return rows

    def close(self) -> None:
        self._rows = []


class Connection:
    """A connection whose transactions are begun by hand."""

    def __init__(self, name: str, vfs: str) -> None:
        self.raw = apsw.Connection(name, vfs=vfs)
        self.isolation_level: str | None = None
        self.row_factory = self.text_factory = None

    def cursor(self) -> Cursor:
        return Cursor(self)

    def execute(self, statement: str, parameters: Sequence[Any] = ()) -> Cursor:
        return self.cursor().execute(statement, parameters)

    def create_function(self, name: str, count: int, function: Callable[..., Any], **_: Any) -> None:
        self.raw.create_scalar_function(name, function, count)

    def commit(self) -> None:
        if self.raw.in_transaction:
            self.raw.execute("COMMIT")

    def rollback(self) -> None:
        if self.raw.in_transaction:
            self.raw.execute("ROLLBACK")

    def close(self) -> None:
        self.raw.close(force=True)
