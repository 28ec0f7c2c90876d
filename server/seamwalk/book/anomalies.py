"""What is odd about a book but not wrong: gathered entry by entry, told in sentences at its end."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from seamwalk.book.chain import ChainAnomaly, Chains
from seamwalk.book.entry import Entry, blobs_of
from seamwalk.book.judgement import Void

_VOID = {
    Void.TWIN: "stand here a second time under another signature: they have no effect",
    Void.LET_IN_BY_TWIN: "were let in by such a second text alone: they have no effect",
    Void.OUTDATED: "admit or revoke a device that something newer was said of before: they have no effect",
}

_PREVS = {
    ChainAnomaly.PREV_UNKNOWN: "name one before them that is not here",
    ChainAnomaly.PREV_OTHER: "name one before them that is not their device's last one",
    ChainAnomaly.PREV_MISSING: "name none before them, or are a device's first and name one",
}


@dataclass
class Anomalies:
    """What was seen so far of one book."""

    chains: Chains = field(default_factory=Chains)
    void: Counter[Void] = field(default_factory=Counter)
    flawed: Counter[str] = field(default_factory=Counter)
    clocks: int = 0
    hidden: int = 0
    wanted: set[str] = field(default_factory=set)
    erased: set[str] = field(default_factory=set)
    restored: set[str] = field(default_factory=set)

    def see(self, entry: Entry, void: Void | None, flaw: str | None) -> None:
        """Take a kept entry into account: why it has no effect, which test of the newest rules it fails."""
        if void is None:
            self.wanted.update(blobs_of(entry))
        if flaw is not None:
            self.flawed[flaw] += 1
        if void is not None:
            self.void[void] += 1
        if void is not Void.TWIN:
            self.chains.see(entry)
        self.clocks += not "2020" <= entry.at[:4] <= "2037"
        if void is None and entry.type == "blob_erased":
            self.erased.add(entry.body["blob"])
        if void is None and entry.type == "restored":
            self.restored.add(entry.device)

    def count(self, blobs: set[str]) -> dict[str, int]:
        """How often each thing that is odd occurs, by its name in FORMAT.md, given the blobs' names."""
        chains = self.chains
        found = Counter({void.value: number for void, number in self.void.items()})
        found.update(f"rules.{code}" for code in self.flawed.elements())
        found.update(odd.value for _, odd in chains.odd_prevs())
        found.update(fork=len(chains.forks()), gap=len(chains.gaps()), clock=self.clocks, hidden=self.hidden)
        found.update(blobs_missing=len(self.wanted - blobs - self.erased), blobs_erased=len(self.erased))
        return {name: number for name, number in sorted(found.items()) if number}

    def tell(self, blobs: set[str]) -> Iterator[str]:
        """One sentence for each thing that is odd, given the names of the blobs that are here."""
        for void in Void:
            if self.void[void]:
                yield f"{self.void[void]} entries {_VOID[void]}"
        if self.flawed:
            codes = ", ".join(f"{code} {count}" for code, count in sorted(self.flawed.items()))
            yield f"{self.flawed.total()} entries are older than the rules that would refuse them ({codes})"
        yield from self._tell_chains()
        if self.clocks:
            yield f"{self.clocks} entries carry a clock before 2020 or after 2037"
        if self.hidden:
            yield f"{self.hidden} entries are not shown to whoever made this file: their leaf hashes alone"
        missing = self.wanted - blobs - self.erased
        if missing:
            yield f"{len(missing)} named texts, photos or files are not in this export"
        if self.erased:
            yield f"{len(self.erased)} texts or photos were erased on purpose"

    def _tell_chains(self) -> Iterator[str]:
        for device in self.chains.forks():
            why = "before and after a restore" if device in self.restored else "was the phone copied?"
            yield f"device {device} wrote two different entries under one number: {why}"
        for device in self.chains.gaps():
            largest, here = self.chains.counted(device)
            yield f"device {device} counted to {largest}, {here} of these are here"
        counted = Counter(odd for _, odd in self.chains.odd_prevs())
        for odd, count in sorted(counted.items()):
            yield f"{count} entries {_PREVS[odd]}"
