"""What is wrong when the database cannot do its work, and the way back."""

from enum import StrEnum

from sqlalchemy.exc import DBAPIError

_FULL = ("SQLITE_FULL", "SQLITE_IOERR_WRITE", "53100")
_BUSY = ("SQLITE_BUSY", "SQLITE_LOCKED", "40001", "40P01", "55P03", "53300")
# SQLite: not to be opened, read or written. PostgreSQL (appendix A): class 08 connection exceptions, class 28
# not let in, 3D000 no such database, class 57P shut down or not up yet
_AWAY = ("SQLITE_CANTOPEN", "SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH", "08", "28", "3D000", "57P")


class DatabaseProblem(StrEnum):
    """The kinds of trouble, each with what to say and what to do."""

    STORAGE_FULL = "storage_full"
    STORAGE_BUSY = "storage_busy"
    STORAGE_AWAY = "storage_away"
    STORAGE_DAMAGED = "storage_damaged"

    @property
    def message(self) -> str:
        """What is wrong."""
        return {
            "storage_full": "the server cannot write to its disk: it is full",
            "storage_busy": "the server's database is busy",
            "storage_away": "the server's database is away",
            "storage_damaged": "the server's database does not answer as it should",
        }[self.value]

    @property
    def remedy(self) -> str:
        """What to do."""
        return {
            "storage_full": "Make room on the server's disk; nothing is lost, phones send again",
            "storage_busy": "Try again; nothing is lost, phones send again",
            "storage_away": "Start the database, or bring its disk back and look at the file's rights;"
            " then all goes on by itself, nothing is lost, phones send again",
            "storage_damaged": "Run `seamwalk check --full` on the server; phones keep what they have",
        }[self.value]


def classify(error: DBAPIError) -> DatabaseProblem:
    """The kind of trouble behind a database error, by SQLite's or PostgreSQL's own code."""
    orig = error.orig
    code = str(getattr(orig, "sqlite_errorname", None) or getattr(orig, "sqlstate", None) or "")
    if code.startswith(_FULL):
        return DatabaseProblem.STORAGE_FULL
    if code.startswith(_BUSY):
        return DatabaseProblem.STORAGE_BUSY
    if code.startswith(_AWAY) or _is_cut_off(error, code):
        return DatabaseProblem.STORAGE_AWAY
    return DatabaseProblem.STORAGE_DAMAGED


def _is_cut_off(error: DBAPIError, code: str) -> bool:
    """Whether no answer came at all: a connection that failed or broke off has no code of the server's."""
    lost = type(error.orig).__name__ in ("OperationalError", "InterfaceError", "ConnectionTimeout")
    return error.connection_invalidated or (not code and lost)


def first_line(error: DBAPIError) -> str:
    """The first line of what the database said."""
    return (str(error.orig).splitlines() or [""])[0]
