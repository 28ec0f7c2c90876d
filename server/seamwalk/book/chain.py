"""How a device's entries hang together: `n` counts them from 1, `prev` names the one before.

Nothing about them holds an entry back: later arrivals and restores close gaps. What is odd is worked out
anew from all entries that a book keeps. `static/src/book/chain.ts` says the same.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from seamwalk.book.entry import Entry


class Odd(StrEnum):
    """What can be odd about a device's entries."""

    GAP = "gap"  # numbers are missing between 1 and the largest
    FORK = "fork"  # two entries have one number
    PREV_UNKNOWN = "prev_unknown"  # prev names no entry that is here
    PREV_OTHER = "prev_other"  # prev names an entry that is not this device's last one
    PREV_MISSING = "prev_missing"  # a first entry names one before it, or a later one names none


@dataclass(frozen=True)
class ChainFlag:
    """What is odd about a device, and at which of its numbers, ascending."""

    device: str
    odd: Odd
    numbers: tuple[int, ...]


class Chains:
    """The entries of a book by device and number."""

    def __init__(self) -> None:
        self._at: dict[str, dict[int, set[str]]] = defaultdict(dict)
        self._forks: dict[str, set[int]] = defaultdict(set)
        self._prevs: list[tuple[str, int, str | None]] = []

    def see(self, entry: Entry) -> None:
        """Take an entry into account; a twin is no entry of its own and is left out."""
        self.link(entry.device, entry.n, entry.prev, entry.id, entry.other_id)

    def link(self, device: str, n: int, prev: str | None, *ids: str) -> None:
        """Take an entry into account by what it names and the ids that name it."""
        numbers = self._at[device]
        if n in numbers:
            self._forks[device].add(n)
        numbers.setdefault(n, set()).update(ids)
        self._prevs.append((device, n, prev))

    def counted(self, device: str) -> tuple[int, int]:
        """Up to which number a device counted, and how many of these are here."""
        numbers = self._at[device]
        return max(numbers), len(numbers)

    def flags(self) -> list[ChainFlag]:
        """What is odd, by device, in the order of `Odd`."""
        found: dict[tuple[str, Odd], set[int]] = defaultdict(set)
        for device, numbers in self._at.items():
            if len(numbers) < max(numbers):
                found[device, Odd.GAP] = set(_missing(numbers))
        for device, forks in self._forks.items():
            found[device, Odd.FORK] = forks
        for device, n, odd in self._odd_prevs():
            found[device, odd].add(n)
        order = list(Odd)
        ranked = sorted(found.items(), key=lambda item: (item[0][0], order.index(item[0][1])))
        return [ChainFlag(device, odd, tuple(sorted(numbers))) for (device, odd), numbers in ranked]

    def _odd_prevs(self) -> Iterator[tuple[str, int, Odd]]:
        stray = [(device, n, prev) for device, n, prev in self._prevs if not self._follows(device, n, prev)]
        if not stray:
            return
        known = {name for numbers in self._at.values() for ids in numbers.values() for name in ids}
        for device, n, prev in stray:
            if prev is None or n == 1:
                yield device, n, Odd.PREV_MISSING
            else:
                yield device, n, Odd.PREV_OTHER if prev in known else Odd.PREV_UNKNOWN

    def _follows(self, device: str, n: int, prev: str | None) -> bool:
        """Whether an entry names the one before it, in either form."""
        return prev is None if n == 1 else prev in self._at[device].get(n - 1, ())


def _missing(numbers: dict[int, set[str]], most: int = 100) -> Iterator[int]:
    """The missing numbers below the largest, from 1 on, at most so many: `n` may be made huge."""
    expected, told = 1, 0
    for n in sorted(numbers):
        while expected < n and told < most:
            yield expected
            expected, told = expected + 1, told + 1
        expected = n + 1
