"""A disk in memory that can lose its power: writes that were not synced survive at random, or not at all.

Assumed of a real disk: what was synced stays, a file once made or deleted is so after the cut, and a write is
taken whole or not at all within each 512 bytes.
"""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import apsw

SECTOR = 512


@dataclass
class Stored:
    """A file: what is durable, and what was written since, piece by piece."""

    now: bytearray = field(default_factory=bytearray)
    durable: bytes = b""
    pieces: list[tuple[int, bytes]] = field(default_factory=list)

    def write(self, at: int, data: bytes) -> None:
        _put(self.now, at, data)
        for start in range(0, len(data), SECTOR):
            self.pieces.append((at + start, data[start : start + SECTOR]))

    def truncate(self, size: int) -> None:
        """Cut the file off; like a deletion it is durable at once."""
        del self.now[size:]
        self.sync()

    def sync(self) -> None:
        self.durable, self.pieces = bytes(self.now), []

    def after_a_cut(self, rng: random.Random) -> "Stored":
        kept = bytearray(self.durable)
        share = rng.choice([0.0, 0.5, 0.9])
        for at, data in self.pieces:
            if rng.random() < share:
                _put(kept, at, data)
        return Stored(kept, bytes(kept))


def _put(target: bytearray, at: int, data: bytes) -> None:
    if len(target) < at:
        target.extend(bytes(at - len(target)))
    target[at : at + len(data)] = data


class Disk:
    """Files by name. `fails` counts writes and syncs down; at zero one fails, or all from there on."""

    def __init__(self, files: dict[str, bytes] | None = None) -> None:
        self.files = {name: Stored(bytearray(data), data) for name, data in (files or {}).items()}
        self.fails: int | None = None
        self.for_ever = True
        self.operations = 0

    def image(self) -> dict[str, bytes]:
        """Everything that is durable."""
        return {name: stored.durable for name, stored in self.files.items()}

    def after_a_cut(self, rng: random.Random) -> "Disk":
        """The disk when the power is back."""
        disk = Disk()
        disk.files = {name: stored.after_a_cut(rng) for name, stored in self.files.items()}
        return disk

    def touch(self) -> None:
        """Count a write or sync; raise when it is one that fails."""
        self.operations += 1
        if self.fails is None:
            return
        self.fails -= 1
        if self.fails < 0 and (self.for_ever or self.fails == -1):
            raise apsw.IOError("the disk does not answer")


class _File(apsw.VFSFile):
    def __init__(self, disk: Disk, name: str) -> None:
        self._disk, self._name = disk, name
        self._stored = disk.files.setdefault(name, Stored())

    def xRead(self, amount: int, offset: int) -> bytes:  # noqa: N802
        return bytes(self._stored.now[offset : offset + amount])

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        self._disk.touch()
        self._stored.write(offset, bytes(data))

    def xTruncate(self, size: int) -> None:  # noqa: N802
        self._disk.touch()
        self._stored.truncate(size)

    def xSync(self, flags: int) -> None:  # noqa: N802
        self._disk.touch()
        self._stored.sync()

    def xFileSize(self) -> int:  # noqa: N802
        return len(self._stored.now)

    def xLock(self, level: int) -> None:  # noqa: N802
        pass

    def xUnlock(self, level: int) -> None:  # noqa: N802
        pass

    def xCheckReservedLock(self) -> bool:  # noqa: N802
        return False

    def xFileControl(self, op: int, pointer: int) -> bool:  # noqa: N802
        return False

    def xSectorSize(self) -> int:  # noqa: N802
        return SECTOR

    def xDeviceCharacteristics(self) -> int:  # noqa: N802
        return 0

    def xClose(self) -> None:  # noqa: N802
        pass


class _Vfs(apsw.VFS):
    def __init__(self, name: str, disk: Disk) -> None:
        self._disk = disk
        super().__init__(name, base="")

    def xOpen(self, name: Any, flags: list[int]) -> _File:  # noqa: N802
        text = name.filename() if isinstance(name, apsw.URIFilename) else str(name)
        return _File(self._disk, text)

    def xAccess(self, path: str, flags: int) -> bool:  # noqa: N802
        return path in self._disk.files

    def xDelete(self, path: str, syncdir: bool) -> None:  # noqa: N802
        self._disk.files.pop(path, None)

    def xFullPathname(self, name: str) -> str:  # noqa: N802
        return name


@contextmanager
def mounted(disk: Disk) -> Iterator[str]:
    """Let SQLite use a disk; gives the name to open it under."""
    name = f"memory-{id(disk)}"
    vfs = _Vfs(name, disk)
    yield name
    vfs.unregister()
