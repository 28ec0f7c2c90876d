"""One run: a seed, its steps, and what must hold after each of them and in the end."""

from typing import Any

from sim_phone import Phone
from sim_rules import expected_rank, fold_of
from sim_steps import CHECKS, Broken, Steps, require

from seamwalk.book.entry import Entry
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.book.verify import verify_export
from seamwalk.store.books import find_book
from seamwalk.store.exporting import export_book
from seamwalk.store.projections import rebuild
from seamwalk.store.states import wall_states

STEPS = 26
REBUILD_EVERY = 20
TOUCH_SERVER = {"call", "deliver", "wipe", "plan", "admit", "put_back"}


class World(Steps):
    """One run of the simulation."""

    def run(self) -> dict[str, Any]:
        """Take the steps, heal everything, return the book; raise Broken with the script."""
        try:
            for phone in self.phones[:3]:
                self._call(phone, "works")
            for _ in range(STEPS):
                if self.step() in TOUCH_SERVER:
                    self.check()
            self.heal()
            return self.check_end()
        except AssertionError as error:
            script = "\n".join(f"  {number:2} {line}" for number, line in enumerate(self.script, start=1))
            replay = f"python tests/simulation/replay.py {self.seed}"
            raise Broken(f"seed {self.seed}: {error}\n{script}\nreplay: {replay}") from error
        finally:
            self.server.close()

    def check(self) -> None:
        """The rules after each step."""
        ids = self.server.ids()
        require(len(set(ids)) == len(ids), "an entry stands in the ledger twice")
        require(ids[: len(self.ledger)] == self.ledger, "the ledger did not only grow")
        self.ledger = ids
        if not self.behind:
            lost = self.acknowledged - set(ids) - set(self.server.held()) - self.gone
            require(not lost, f"acknowledged and not there: {sorted(lost)}")
        for phone in self.phones:
            missing = self.made.get(phone.device, set()) - set(phone.disk.entries)
            require(not missing, f"{self._who(phone)} has dropped {sorted(missing)}")
            seen = {s.entry.id for s in phone.disk.entries.values() if s.sending == "seen"}
            if not self.behind:
                require(seen <= set(ids), f"{self._who(phone)} has seen what the ledger does not have")

    def heal(self) -> None:
        """No more troubles: late calls arrive, the owner restores, the office admits, everybody syncs."""
        self.say("from here on nothing goes wrong")
        while self.delayed:
            self._step_deliver(self.phones[0])
        if self.behind:
            for base in (None, 1):
                self.server.restore(base)
                self.say(f"the owner restores the book, base {base or 'all'}")
                synced = [self._sync(phone) for phone in self.phones]
                if all(synced):
                    break
        for phone in self.phones:
            phone.kill()
            self._sync(phone)
            if phone.device not in self._admitted():
                self.server.admit(phone.disk.key.jwk, phone.disk.person)
        for device in {device for device, why in self.server.held().values() if why == "unknown_device"}:
            self.server.admit(self.server.held_jwk(device), self.person_of[device])
        for phone in [*self.phones, *self.phones]:
            require(self._sync(phone), f"{self._who(phone)} can not sync though nothing goes wrong")

    def _admitted(self) -> set[str]:
        entries = map(read_kept, self.server.texts())
        return {entry.body["device"] for entry in entries if entry.type == "device_admitted"}

    def _sync(self, phone: Phone) -> bool:
        for _ in range(40):
            brought = phone.brings(50)
            given = self._answer(brought, phone.device, None)
            if given is None or not self._take(phone, brought, given):
                return False
            if given.reading != "restored" and not phone.brings(1).entries:
                return True
        return False

    def check_end(self) -> dict[str, Any]:
        """The rules in the end; return the book and how its checks stand, for another reader of the rules."""
        ids = self.server.ids()
        root = Frontier().extend(bytes.fromhex(entry) for entry in ids).root_hash
        for phone in self.phones:
            require(phone.disk.frontier.root_hash == root, f"{self._who(phone)} has another book")
        lost = set(self.created) - set(ids) - self.gone
        require(not lost, f"never came into the book: {sorted(lost)}")
        require(len(set(ids)) == len(ids), "an entry stands in the ledger twice")
        entries = [read_kept(jws) for jws in self.server.texts()]
        self._check_states(entries)
        if self.seed % REBUILD_EVERY == 0:
            with self.server.store.write() as session:
                rebuild(session, self.server.book)
            self._check_states(entries)
        with self.server.store.read() as session:
            lines = list(export_book(session, find_book(session, "sim")))
        verify_export((line.encode() for line in lines), self.machine.owner)
        return self._told(entries)

    def _check_states(self, entries: list[Entry]) -> None:
        with self.server.store.read() as session:
            stored = wall_states(session, self.server.book, "A")
        backwards = fold_of(reversed(entries), self.person_of)
        for check in CHECKS:
            rank = expected_rank(check, entries, self.person_of, self.saw)
            found = {phone.fold.state(check) for phone in self.phones} | {backwards.state(check)}
            require(len(found) == 1, f"{check}: phones tell it differently: {found}")
            state = found.pop()
            require(state.rank == rank, f"{check}: {state.state} {state.weight} where people saw {rank.name}")
            if check in stored:
                require(stored[check] == state, f"{check}: the office tells it differently")

    def _told(self, entries: list[Entry]) -> dict[str, Any]:
        fold = fold_of(entries, self.person_of)
        states = {check: fold.state(check) for check in CHECKS}
        return {
            "seed": self.seed,
            "entries": [{"jws": entry.jws, "index": index} for index, entry in enumerate(entries)],
            "states": {check: [s.state, s.weight, list(s.standing)] for check, s in states.items()},
        }
