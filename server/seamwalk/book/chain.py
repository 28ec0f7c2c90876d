"""How a device's entries hang together: `n` counts them from 1, `prev` names the one before.

Nothing about them holds an entry back: later arrivals and restores close gaps. What is odd is worked out
from all entries that a book keeps. `static/src/book/chain.ts` says the same.
"""

from collections import defaultdict
from collections.abc import Iterator
from enum import StrEnum

from seamwalk.book.entry import Entry


class ChainAnomaly(StrEnum):
    """What can be odd about an entry; a device's missing numbers are told apart from it."""

    FORK = "fork"  # two entries have one number
    PREV_UNKNOWN = "prev_unknown"  # prev names no entry that is here
    PREV_OTHER = "prev_other"  # prev names an entry that is not this device's last one
    PREV_MISSING = "prev_missing"  # a first entry names one before it, or a later one names none


class Chains:
    """The entries of a book by device and number; a twin is no entry of its own and is left out."""

    def __init__(self) -> None:
        self._at: dict[str, dict[int, list[str]]] = defaultdict(dict)
        self._named: dict[tuple[str, int], set[str]] = defaultdict(set)
        self._prevs: list[tuple[str, str, int, str | None]] = []

    def see(self, entry: Entry) -> None:
        """Take an entry into account."""
        self.link(entry.id, entry.other_id, entry.device, entry.n, entry.prev)

    def link(self, entry_id: str, other_id: str, device: str, n: int, prev: str | None) -> None:
        """Take an entry into account by its two ids and what it says of its place."""
        self._at[device].setdefault(n, []).append(entry_id)
        self._named[device, n].update((entry_id, other_id))
        self._prevs.append((entry_id, device, n, prev))

    def counted(self, device: str) -> tuple[int, int]:
        """Up to which number a device counted, and how many of these are here."""
        numbers = self._at[device]
        return max(numbers), len(numbers)

    def gaps(self) -> dict[str, list[tuple[int, int]]]:
        """By device the first and last of each run of missing numbers, ascending."""
        found = {device: list(_gaps(sorted(numbers))) for device, numbers in self._at.items()}
        return {device: gaps for device, gaps in sorted(found.items()) if gaps}

    def forks(self) -> dict[str, list[str]]:
        """By device the entries that share their number with another one."""
        found = {
            device: [entry for entries in numbers.values() if len(entries) > 1 for entry in entries]
            for device, numbers in self._at.items()
        }
        return {device: entries for device, entries in sorted(found.items()) if entries}

    def flags(self) -> dict[str, list[ChainAnomaly]]:
        """What is odd about each entry, by its id, sorted."""
        found: dict[str, list[ChainAnomaly]] = defaultdict(list)
        for entries in self.forks().values():
            for entry in entries:
                found[entry].append(ChainAnomaly.FORK)
        for entry, odd in self.odd_prevs():
            found[entry].append(odd)
        return dict(found)

    def odd_prevs(self) -> Iterator[tuple[str, ChainAnomaly]]:
        """Entries that name another one before them than their device's last, and how."""
        stray = [told for told in self._prevs if not self._follows(*told[1:])]
        known = {name for names in self._named.values() for name in names} if stray else set()
        for entry, _, n, prev in stray:
            if prev is None or n == 1:
                yield entry, ChainAnomaly.PREV_MISSING
            else:
                yield entry, ChainAnomaly.PREV_OTHER if prev in known else ChainAnomaly.PREV_UNKNOWN

    def _follows(self, device: str, n: int, prev: str | None) -> bool:
        """Whether `prev` is what number `n` needs: none for 1, else the entry of n - 1 in either form."""
        return prev is None if n == 1 else prev in self._named.get((device, n - 1), ())


def _gaps(numbers: list[int]) -> Iterator[tuple[int, int]]:
    expected = 1
    for n in numbers:
        if n > expected:
            yield expected, n - 1
        expected = n + 1
