"""Files and folders that nobody but the server's own user reads or writes."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from seamwalk.errors import ConfigError

FOLDER_MODE, FILE_MODE, _OTHERS = 0o700, 0o600, 0o077
_BESIDE_SQLITE = ("", "-wal", "-shm", "-journal")


def make_folder(path: Path) -> None:
    """Make a folder, or tighten one that is there, to mode 0700."""
    path.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    _restrict(path, FOLDER_MODE)


def restrict(path: Path) -> None:
    """Take away what others may do with a file, if it is there; raise ConfigError when it cannot be."""
    if path.is_file():
        _restrict(path, FILE_MODE)


def make_file(path: Path, content: bytes) -> None:
    """Write a new file of mode 0600, whole and synced or not at all; raise FileExistsError."""
    draft = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    try:
        _write_synced(draft, content)
        os.link(draft, path)
        _sync_folder(path.parent)
    finally:
        draft.unlink(missing_ok=True)


def prepare_sqlite(file: Path) -> None:
    """Make a database file of mode 0600 before SQLite does, and tighten it and those beside it.

    SQLite gives its -wal, -shm and -journal the mode of the database file.
    """
    with suppress(FileExistsError):
        os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, FILE_MODE))
    for ending in _BESIDE_SQLITE:
        restrict(file.with_name(file.name + ending))


def _write_synced(path: Path, content: bytes) -> None:
    with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, FILE_MODE), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _restrict(path: Path, mode: int) -> None:
    """Set the mode where others may do something; raise ConfigError where that is not allowed."""
    if path.stat().st_mode & _OTHERS == 0:
        return
    try:
        path.chmod(mode)
    except PermissionError as error:
        message = f"{path}: others may read it, and its mode cannot be changed"
        raise ConfigError(message, f"Run `chmod {mode:o} {path}` as its owner.") from error
