"""What is wrong when the database can not do its work, and the way back."""

from enum import StrEnum

from sqlalchemy.exc import DBAPIError

_FULL = ("SQLITE_FULL", "SQLITE_IOERR_WRITE", "53100")
_BUSY = ("SQLITE_BUSY", "SQLITE_LOCKED", "40001", "40P01", "55P03")


class Trouble(StrEnum):
    """The kinds of trouble, each with what to say and what to do."""

    STORAGE_FULL = "storage_full"
    STORAGE_BUSY = "storage_busy"
    STORAGE_DAMAGED = "storage_damaged"

    @property
    def message(self) -> str:
        """What is wrong."""
        return {
            "storage_full": "the server can not write to its disk: it is full",
            "storage_busy": "the server's database is busy",
            "storage_damaged": "the server's database does not answer as it should",
        }[self.value]

    @property
    def remedy(self) -> str:
        """What to do."""
        return {
            "storage_full": "Make room on the server's disk; nothing is lost, phones send again",
            "storage_busy": "Try again; nothing is lost, phones send again",
            "storage_damaged": "Run `seamwalk check --full` on the server; phones keep what they have",
        }[self.value]


def trouble_of(error: DBAPIError) -> Trouble:
    """The kind of trouble behind a database error, by SQLite's or PostgreSQL's own code."""
    orig = error.orig
    code = str(getattr(orig, "sqlite_errorname", None) or getattr(orig, "sqlstate", None) or "")
    if code.startswith(_FULL):
        return Trouble.STORAGE_FULL
    return Trouble.STORAGE_BUSY if code.startswith(_BUSY) else Trouble.STORAGE_DAMAGED
