"""One run: its phones, its server, what was written and said; and that the server says of it what is true."""

import random
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from sim_guests import Guest
from sim_keys import NumberedKey
from sim_phone import Phone, Stopped
from sim_server import PERSONS, Crash, Machine, Server
from sim_stranger import Stranger
from sqlalchemy.exc import DBAPIError

from seamwalk.book.entry import Entry
from seamwalk.book.jose import signing_input
from seamwalk.errors import BookError, LostEntries
from seamwalk.store.ledger.intake import Verdict
from seamwalk.store.sync.exchange import SyncInput, SyncResult
from seamwalk.store.sync.phone_file import ImportResult

CRASHED, RESTORED, REBUILT = "the server crashes", "the book is restored", "the tables are made anew"
Answer = TypeVar("Answer", SyncResult, ImportResult)


class Broken(AssertionError):
    """A rule does not hold."""


def require(holds: bool, what: str) -> None:
    """Raise Broken unless a rule holds."""
    if not holds:
        raise Broken(what)


@dataclass
class Run:
    """Everything of one run.

    `late_answers` is a bug of the phone that the tests plant.
    """

    seed: int
    machine: Machine
    late_answers: bool = False
    script: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.rng = random.Random(self.seed)
        self.server = Server(self.machine, self.machine.folder / f"run{self.seed}.db")
        self.keys = iter(range(100_000 * (self.seed + 1), 100_000 * (self.seed + 2)))
        self.phones = [Phone(self.server.book, NumberedKey(n), p) for n, p in enumerate(PERSONS, start=1)]
        self.person_of = {phone.device: phone.disk.person for phone in self.phones}
        # what follows is by signing input
        self.created: dict[str, Entry] = {}
        self.made: dict[str, set[str]] = {}
        self.acknowledged: set[str] = set()
        self.gone: set[str] = set()
        self.saw: dict[str, dict[str, frozenset[str]]] = {}
        self.stranger = Stranger(self.seed, self.server.book, NumberedKey(7000))
        self.guests = [Guest(number) for number in (91, 92)]
        self.delayed: list[tuple[SyncInput, str]] = []
        self.copies: list[Path] = []
        self.ledger: list[str] = []
        self.behind = False
        # the kinds of steps and calls, and some of what became of them
        self.met: set[str] = set()

    def new_key(self) -> NumberedKey:
        return NumberedKey(next(self.keys))

    def say(self, text: str) -> None:
        self.script.append(text)

    def who(self, phone: Phone) -> str:
        return f"phone {self.phones.index(phone) + 1}"

    def answer(self, request: SyncInput, device: str | None, crash_after: int | None) -> SyncResult | None:
        return self.ask(request.entries, lambda: self.server.exchange(request, device, crash_after))

    def ask(self, texts: list[str], call: Callable[[], Answer]) -> Answer | None:
        """One call of the server; what it says of these texts must be true."""
        before = self.server.kept()
        try:
            result = call()
        except Crash:
            self.met.add(CRASHED)
            self.say("... the server crashes")
            return None
        except LostEntries as error:
            self.say(f"... {error.message}")
            return None
        except DBAPIError as error:
            self.say(f"... the database says {error.orig}")
            return None
        self._check_verdicts(texts, result.verdicts, before)
        return result

    def _check_verdicts(self, texts: list[str], verdicts: Sequence[Verdict], before: Collection[str]) -> None:
        """Each text is judged as what it is; what is kept is named by the id and the index that it has."""
        kept, held = self.server.kept(), self.server.held()
        for text, verdict in zip(texts, verdicts, strict=bool(verdicts)):
            entry = signing_input(text)
            if text in self.stranger.garbage:
                require(verdict.verdict == "refused", f"garbage is {verdict.verdict}")
                continue
            require(verdict.verdict != "refused", f"a good text is refused: {verdict.why}")
            require(
                verdict.verdict == "again" or entry not in before, f"{verdict.verdict} and was there before"
            )
            if verdict.verdict == "held":
                here = {at[entry][0] for at in (kept, held) if entry in at}
                require(here == {verdict.id}, "held under another id, or not at all")
                continue
            require(
                kept.get(entry) == (verdict.id, verdict.index),
                "kept under another id or index, or not at all",
            )
            self.acknowledged.add(entry)

    def take(self, phone: Phone, request: SyncInput, result: SyncResult) -> bool:
        try:
            phone.takes(request, result)
        except (Stopped, BookError) as error:
            self.say(f"... {self.who(phone)} stops: {error}")
            if not self.behind:
                raise Broken(f"{self.who(phone)} stops at a book that was never lost") from error
            return False
        return True

    def count_gone(self) -> None:
        """What neither the ledger, nor what is held, nor any phone, nor the network has: gone for good."""
        here = {*self.server.kept(), *self.server.held()}
        here |= {signing_input(jws) for request, _ in self.delayed for jws in request.entries}
        here |= {entry for phone in self.phones for entry in phone.disk.entries}
        self.gone |= set(self.created) - here
