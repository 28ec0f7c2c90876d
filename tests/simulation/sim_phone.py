"""One phone of the simulation. What is in `disk` survives a kill; all else is gone with the app.

An entry is what was signed: it stands here once, by its signing input, under the text that the server keeps.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from sim_keys import NumberedKey

from seamwalk.book.entry import ENTRY_TYP, Entry
from seamwalk.book.head import read_head
from seamwalk.book.jose import PublicKey, other_form, signing_input
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.book.types import newest_version
from seamwalk.domain.findings.findings import Act, Fold
from seamwalk.store.sync.exchange import SyncInput, SyncResult


class Stopped(Exception):
    """The book is not the one that this phone has seen."""


@dataclass(frozen=True)
class Stored:
    """An entry on a phone: unsent, sent, held, refused or seen; `order` is its place before a restore."""

    entry: Entry
    index: int | None
    mine: bool
    sending: str
    order: int | None = None


@dataclass
class Disk:
    """What a phone's storage holds; entries by their signing inputs."""

    key: NumberedKey
    person: str
    entries: dict[str, Stored] = field(default_factory=dict)
    frontier: Frontier = field(default_factory=Frontier)
    head: str | None = None
    old_head: str | None = None
    head_key: PublicKey | None = None
    epoch: int = 1


class Phone:
    """One phone; the person who holds it sees only what it draws."""

    def __init__(self, book: str, key: NumberedKey, person: str) -> None:
        self.book = book
        self.disk = Disk(key, person)
        self.admitted = False
        self.stopped = False
        self.people: dict[str, str] = {}
        self.fold = Fold()
        self.drawn: dict[str, tuple[str, ...]] = {}

    @property
    def device(self) -> str:
        return self.disk.key.thumbprint

    def kill(self) -> None:
        """The app is gone and opened again: everything is worked out from storage."""
        for stored in list(self.disk.entries.values()):
            if stored.sending in ("sent", "held"):
                self._keep(replace(stored, sending="unsent"))
        self.drawn, self.stopped = {}, False
        self._add_up_anew()

    def _add_up_anew(self) -> None:
        entries = sorted(
            self.disk.entries.values(),
            key=lambda stored: (stored.index if stored.index is not None else 1 << 60, stored.entry.n),
        )
        self.fold, self.people, self.admitted = Fold(), {}, False
        for stored in entries:
            self._take(stored.entry, stored.index)

    def _keep(self, stored: Stored) -> None:
        self.disk.entries[stored.entry.input] = stored

    def wipe(self, key: NumberedKey) -> None:
        """All storage is gone; a new key is made."""
        self.disk = Disk(key, self.disk.person)
        self.kill()

    def inputs_of(self, references: Iterable[str]) -> frozenset[str]:
        """The entries here that these references mean."""
        known = inputs_by_id(stored.entry for stored in self.disk.entries.values())
        return frozenset(known[reference] for reference in references)

    def draw(self, check: str) -> tuple[str, ...]:
        """Show a check; what stands there is what its person has seen."""
        self.drawn[check] = self.fold.state(check).standing
        return self.drawn[check]

    def write(self, entry_type: str, body: dict[str, Any], at: str, reuse: Entry | None = None) -> Entry:
        """Sign an entry and store it; `reuse` gives it another entry's count, as a copied phone does."""
        own = [stored.entry for stored in self.disk.entries.values() if stored.entry.device == self.device]
        last = max(own, key=lambda entry: entry.n, default=None)
        n, prev = (last.n + 1, last.id) if last else (1, None)
        if reuse is not None:
            n, prev = reuse.n, reuse.prev
        payload = {
            "type": entry_type,
            "v": newest_version(entry_type),
            "book": self.book,
            "n": n,
            "prev": prev,
        }
        text = json.dumps({**payload, "at": at, "body": body}, separators=(",", ":"))
        entry = read_kept(self.disk.key.sign(ENTRY_TYP, text.encode(), with_jwk=not self.admitted))
        self._keep(Stored(entry, None, True, "unsent"))
        self._take(entry, None)
        return entry

    def brings(self, limit: int) -> SyncInput:
        """The next call's body: unsent entries, those that a restore cut off first.

        A phone that has stopped sends none, and asks again for restores since its last head.
        """
        unsent = [stored for stored in self.disk.entries.values() if stored.sending == "unsent"]
        unsent.sort(key=lambda s: (s.order if s.order is not None else 1 << 60, s.entry.n, s.entry.id))
        entries = [] if self.stopped else [stored.entry.jws for stored in unsent[:limit]]
        head = self.disk.head or (self.disk.old_head if self.stopped else None)
        return SyncInput(self.disk.frontier.tree_size, entries, head)

    def takes(self, request: SyncInput, result: SyncResult) -> None:
        """Apply an answer; raise Stopped when the book is another one."""
        try:
            self._takes(request, result)
        except Stopped:
            self.stopped = True
            raise
        self.stopped = self.stopped and result.reading == "sign_in"

    def _takes(self, request: SyncInput, result: SyncResult) -> None:
        if result.reading == "restored":
            self._cross(result.restored)
            return
        for text, verdict in zip(request.entries, result.verdicts, strict=bool(result.verdicts)):
            stored = self.disk.entries[signing_input(text)]
            sending = verdict.verdict if verdict.verdict in ("held", "refused") else "sent"
            self._keep(replace(stored, sending=sending))
            if verdict.id == stored.entry.other_id:
                self._let_stand(read_kept(other_form(stored.entry.jws)))
        if result.reading == "ok" and request.after == self.disk.frontier.tree_size:
            self._pull(result)

    def _let_stand(self, entry: Entry) -> None:
        """Take another text for an entry that is here: the server had it first. An own one is checked."""
        stored = self.disk.entries[entry.input]
        if stored.entry.jws == entry.jws:
            return
        if entry.device == self.device and not PublicKey(self.disk.key.jwk).verifies(entry.jws):
            raise Stopped("the book holds a text for an own entry that this phone's key did not sign")
        self._keep(replace(stored, entry=entry))
        self._add_up_anew()

    def _pull(self, result: SyncResult) -> None:
        entries = [read_kept(jws) for jws in texts_of(result)]
        frontier = self.disk.frontier.extend(bytes.fromhex(entry.id) for entry in entries)
        key, epoch = self.disk.head_key, self.disk.epoch
        for entry in entries:
            if entry.type in ("book_opened", "restored") and (key is None or entry.body["epoch"] > epoch):
                key, epoch = PublicKey(entry.body["head_jwk"]), entry.body["epoch"]
        assert result.more is False
        assert key is not None
        head = read_head(result.head or "", key)
        if (head.size, head.root, head.epoch) != (frontier.tree_size, frontier.root_hash.hex(), epoch):
            raise Stopped("the head does not fit")
        first = self.disk.frontier.tree_size
        for stored in list(self.disk.entries.values()):
            if stored.sending == "sent":  # acknowledged, and yet no head covers it: the server has lost it
                self._keep(replace(stored, sending="unsent"))
        for index, entry in enumerate(entries, start=first):
            known = self.disk.entries.get(entry.input)
            if known is not None:
                self._let_stand(entry)
            self._keep(Stored(entry, index, known.mine if known else False, "seen"))
            self._take(entry, index)
        self.disk.frontier, self.disk.head, self.disk.head_key = frontier, result.head, key
        self.disk.epoch = epoch

    def _cross(self, texts: list[str]) -> None:
        bodies = [read_kept(text).body for text in texts]
        base = min(bodies, key=lambda body: int(body["base_size"]))
        covered = [s for s in self.disk.entries.values() if s.index is not None]
        seen = sorted(covered, key=lambda stored: stored.index or 0)
        kept, cut = seen[: base["base_size"]], seen[base["base_size"] :]
        frontier = Frontier().extend(bytes.fromhex(stored.entry.id) for stored in kept)
        if len(kept) == base["base_size"] and frontier.root_hash.hex() != base["base_root"]:
            raise Stopped("the restore vouches for other entries")
        for stored in list(self.disk.entries.values()):
            if stored.sending in ("sent", "held"):
                self._keep(replace(stored, sending="unsent"))
        for stored in cut:
            self._keep(replace(stored, index=None, sending="unsent", order=stored.index))
        opening = [s.entry.body for s in kept if s.entry.type in ("book_opened", "restored")]
        newest = max(opening, key=lambda body: int(body["epoch"]))
        self.disk.head_key, self.disk.epoch = PublicKey(newest["head_jwk"]), newest["epoch"]
        self.disk.old_head = self.disk.head or self.disk.old_head
        self.disk.frontier, self.disk.head = frontier, None

    def _take(self, entry: Entry, index: int | None) -> None:
        if entry.type == "device_admitted":
            self.people[entry.body["device"]] = entry.body["person"]
            self.admitted = self.admitted or (index is not None and entry.body["device"] == self.device)
        own = self.disk.person if entry.device == self.device else entry.device
        act = act_of(entry, self.people.get(entry.device, own))
        if act is not None:
            self.fold.add([act])


def inputs_by_id(entries: Iterable[Entry]) -> dict[str, str]:
    """Signing inputs of entries by the ids of both forms."""
    return {name: entry.input for entry in entries for name in (entry.id, entry.other_id)}


def act_of(entry: Entry, author: str) -> Act | None:
    """An entry as the domain knows it, by both its ids; None when it changes no check."""
    body, other = entry.body, entry.other_id
    if entry.type == "found":
        reopens = body.get("reopens", [])
        told = ((*body["checks"], *reopens), body.get("weight"), frozenset(body.get("answers", ())))
        return Act(entry.id, author, body["result"], *told, other=other, reopens=frozenset(reopens))
    if entry.type == "stop_released":
        answers = frozenset({body["fault"]})
        return Act(
            entry.id, author, "released", (body["check"],), None, answers, None, other, duty=body["duty"]
        )
    if entry.type == "swapped":
        return Act(entry.id, author, "reopened", tuple(body["reopens"]), other=other)
    if entry.type == "withdrawn":
        return Act(entry.id, author, "withdrawn", target=body["entry"], other=other)
    return None


def texts_of(result: SyncResult) -> list[str]:
    """The entries of an answer, without a bare leaf among them: every phone here reads all types."""
    texts = [text for text in result.entries or [] if isinstance(text, str)]
    assert len(texts) == len(result.entries or [])
    return texts
