"""The claims of all sign-offs of a book that is read entry by entry, its blobs last."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from seamwalk.book.entry import Entry
from seamwalk.book.merkle import root_of
from seamwalk.domain.findings.coverage import Extent, coverages
from seamwalk.domain.findings.findings import Act
from seamwalk.domain.findings.signoff import Blocker
from seamwalk.signoffs.acts import act_of, references
from seamwalk.signoffs.claim import Claim, Unknown, claim_of, read_file
from seamwalk.signoffs.frozen_checks import FrozenChecks
from seamwalk.signoffs.strike import StrikeAct, opened_for, strike_act

_MAX_NAMED = 3
_NOT_COUNTED = {
    "same_hands": "second look by the same hands",
    "too_early": "second look before a first one",
    "not_released": "nobody let the crew go on after a stop",
    "coming_down": "the strike was open there",
}
_WHY = {
    Unknown.PLAN_MISSING: "the plan that it names is not here",
    Unknown.PLAN_OF_OTHER_WALL: "the plan that it names is of another wall",
    Unknown.FILE_MISSING: "the plan's checks file is not here",
    Unknown.FILE_ERASED: "the checks file was erased",
    Unknown.FILE_UNREADABLE: "the checks file cannot be read",
    Unknown.OTHER_ENTRIES: "it was signed over other entries than those here",
    Unknown.ENTRIES_MISSING: "not all entries that it covers are here",
}


@dataclass(frozen=True)
class Measured:
    """A sign-off of a book, and what became of its claim."""

    entry: str
    body: dict[str, Any]
    claim: Claim


class BookClaims:
    """Takes what `verify` reads; works all claims out at the end, adding findings up once."""

    def __init__(self) -> None:
        self._leaves: dict[int, str] = {}
        self._known: set[str] = set()
        self._hidden: list[int] = []
        self._acts: list[tuple[int, Act]] = []
        self._strike: list[StrikeAct] = []
        self._plans: dict[str, Entry] = {}
        self._signed: list[Entry] = []
        self._let_in: set[str] = set()
        self._erased: set[str] = set()
        self._files: dict[str, bytes] = {}

    def entry(self, index: int, entry: Entry, author: str) -> None:
        """Take an entry that has an effect, by its author."""
        self._leaves[index] = entry.id
        self._known.update(references(entry))
        if strike := strike_act(index, entry, author):
            self._strike.append(strike)
        act = act_of(entry, author)
        if act is not None:
            self._acts.append((index, act))
        elif entry.type == "plan_set":
            self._plans.update(dict.fromkeys(references(entry), entry))
        elif entry.type == "signed_off":
            self._signed.append(entry)
        elif entry.type == "entry_admitted":
            self._let_in.add(entry.body["entry"])
        elif entry.type == "blob_erased":
            self._erased.add(entry.body["blob"])

    def leaf(self, index: int, leaf: str, *, hidden: bool) -> None:
        """Take a leaf alone: of an entry without effect, or `hidden`, of one whose text is not here."""
        self._leaves[index] = leaf
        if hidden:
            self._hidden.append(index)

    def blob(self, name: str, data: bytes) -> None:
        """Take a blob; all entries are known by then, so only files of signed plans are kept."""
        if name in self._wanted:
            self._files[name] = data

    @cached_property
    def _wanted(self) -> set[str]:
        """The checks files of all plans that a sign-off names."""
        plans = [self._plans.get(entry.body["plan"]) for entry in self._signed]
        return {plan.body["checks_file"] for plan in plans if plan is not None}

    def measure(self) -> list[Measured]:
        """Measure every sign-off, in the order of the book."""
        if not self._signed:
            return []
        files = {name: read_file(data, erased=False) for name, data in self._files.items()}
        extents = [Extent(entry.body["size"], frozenset(entry.body["own"])) for entry in self._signed]
        claims: dict[int, Claim] = {}
        for number, covered in coverages(self._acts, extents):
            entry = self._signed[number]
            file = self._unknown_entries(entry) or self._file_of(entry, files)
            opened = opened_for(self._strike, extents[number], entry.body["wall"])
            claims[number] = claim_of(entry.body, file, covered, opened)
        return [Measured(entry.id, entry.body, claims[at]) for at, entry in enumerate(self._signed)]

    def _unknown_entries(self, entry: Entry) -> Unknown | None:
        size, own = entry.body["size"], set(entry.body["own"])
        if self._let_in.intersection(references(entry)) and self._root_at(size) != entry.body["root"]:
            return Unknown.OTHER_ENTRIES
        hidden = any(index < size for index in self._hidden)
        return Unknown.ENTRIES_MISSING if hidden or own - self._known else None

    def _root_at(self, size: int) -> str | None:
        """The root (hex) of the first `size` leaves; None unless all are here."""
        if size > len(self._leaves) or not all(index in self._leaves for index in range(size)):
            return None
        return root_of([bytes.fromhex(self._leaves[index]) for index in range(size)]).hex()

    def _file_of(self, entry: Entry, files: dict[str, FrozenChecks | Unknown]) -> FrozenChecks | Unknown:
        plan = self._plans.get(entry.body["plan"])
        if plan is None:
            return Unknown.PLAN_MISSING
        if plan.body["wall"] != entry.body["wall"]:
            return Unknown.PLAN_OF_OTHER_WALL
        name = plan.body["checks_file"]
        return files.get(name) or read_file(None, erased=name in self._erased)

    def flags(self, say: Callable[[str], str] = str) -> Iterator[str]:
        """One sentence for each thing to be looked at, in the order of the book; `say` says a check."""
        for made in self.measure():
            what = f"sign-off {made.body['statement']} of wall {made.body['wall']} (entry {made.entry[:8]})"
            for sentence in _sentences(made.claim, say):
                yield f"{what}: {sentence}"


def _sentences(claim: Claim, say: Callable[[str], str]) -> Iterator[str]:
    if claim.unknown is not None:
        yield f"what stood in its way was not worked out: {_WHY[claim.unknown]}"
    if claim.left_out:
        checks = [f"{say(item.check)} ({_why(item)})" for item in claim.left_out[:_MAX_NAMED]]
        n = len(claim.left_out)
        yield f"{n} checks stood in the way and are not among its exceptions: {_named(checks, n)}"
    if claim.unnamed:
        n, checks = len(claim.unnamed), [say(check) for check in claim.unnamed[:_MAX_NAMED]]
        yield f"{n} structural exceptions do not name a competent person: {_named(checks, n)}"
    if claim.needless:
        n, checks = len(claim.needless), [say(check) for check in claim.needless[:_MAX_NAMED]]
        yield f"{n} exceptions were not in the way (no fault): {_named(checks, n)}"


def _named(first: list[str], n: int) -> str:
    more = n - len(first)
    return "; ".join(first) + (f" and {more} more" if more > 0 else "")


def _why(item: Blocker) -> str:
    if item.why in _NOT_COUNTED:
        return _NOT_COUNTED[item.why]
    state = item.state.state.replace("_", " ")
    state = f"{state}, {item.state.weight}" if item.state.weight else state
    return f"{state}, no longer planned" if item.why == "vanished" else state
