"""What is odd about a stored book but not wrong: entries without effect, forks, gaps, stray chains."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.book.chain import ChainAnomaly, Chains
from seamwalk.store.findings.states import name_of
from seamwalk.store.tables import LedgerEntry

_MAX = 500


@dataclass(frozen=True)
class VoidEntry:
    """A kept entry without effect: its place, why, and who wrote the text that it repeats or misuses."""

    index: int
    entry: str
    type: str
    void: str
    by: str


@dataclass(frozen=True)
class DeviceAnomalies:
    """A device whose entries do not make one whole chain; `gaps` are runs of missing numbers."""

    device: str
    by: str
    forks: int
    gaps: tuple[tuple[int, int], ...]
    prevs: tuple[tuple[ChainAnomaly, int], ...]


@dataclass(frozen=True)
class BookAnomalies:
    """All of it; of very many void entries the first."""

    void: list[VoidEntry]
    void_count: int
    devices: list[DeviceAnomalies]


def count_void(session: Session, book: str) -> int:
    """How many entries of a book have no effect."""
    query = select(func.count()).select_from(LedgerEntry)
    return session.scalar(query.where(LedgerEntry.book == book, LedgerEntry.void.is_not(None))) or 0


def find_anomalies(session: Session, book: str) -> BookAnomalies:
    """Work out what is odd about a book."""
    void: list[VoidEntry] = []
    chains, counted, device_of = Chains(), 0, dict[str, str]()
    columns = (LedgerEntry.idx, LedgerEntry.entry, LedgerEntry.other, LedgerEntry.type)
    chain = (LedgerEntry.device, LedgerEntry.n, LedgerEntry.prev, LedgerEntry.void)
    query = select(*columns, *chain).where(LedgerEntry.book == book).order_by(LedgerEntry.idx)
    for idx, entry, other, type_, device, n, prev, why in session.execute(query).all():
        if why is not None:
            counted += 1
            if counted <= _MAX:
                void.append(VoidEntry(idx, entry, type_, why, name_of(session, book, device)))
        if why != "twin":
            chains.link(entry, other, device, n, prev)
            device_of[entry] = device
    return BookAnomalies(void, counted, _devices(session, book, chains, device_of))


def _devices(session: Session, book: str, chains: Chains, device_of: dict[str, str]) -> list[DeviceAnomalies]:
    forks, gaps = chains.forks(), chains.gaps()
    prevs = Counter((device_of[entry], odd) for entry, odd in chains.odd_prevs())
    devices = sorted({*forks, *gaps, *(device for device, _ in prevs)})
    return [
        DeviceAnomalies(
            device,
            name_of(session, book, device),
            len(forks.get(device, ())),
            tuple(gaps.get(device, ())),
            tuple(sorted((odd, count) for (whose, odd), count in prevs.items() if whose == device)),
        )
        for device in devices
    ]
