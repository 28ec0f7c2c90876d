"""One run: a seed, its steps, and what must hold after each of them and in the end."""

from typing import Any

from sim_phone import Phone
from sim_rules import expected_rank, fold_of
from sim_run import REBUILT, RESTORED, Broken, require
from sim_steps import CHECKS, Steps
from sqlalchemy.exc import DBAPIError

from seamwalk.book.entry import Entry
from seamwalk.book.judgement import Void
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.book.verify import Report, verify_export
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.projections.projections import rebuild
from seamwalk.store.sync.exchange import SyncInput

LENGTH = 26
REBUILD_EVERY = 20
TOUCH_SERVER = {"call", "deliver", "wipe", "plan", "admit", "put_back", "stranger", "file", "guest"}
TOUCH_TRUST = {"stranger", "file", "guest"}


class World(Steps):
    """One run of the simulation."""

    def run(self) -> dict[str, Any]:
        """Take the steps, heal everything, return the book; raise Broken with the script."""
        try:
            for phone in self.phones[:3]:
                self._call(phone, "works")
            for _ in range(LENGTH):
                kind = self.step()
                if kind in TOUCH_SERVER:
                    self.check(kind)
            self.heal()
            return self.check_end()
        except (AssertionError, DBAPIError) as error:
            script = "\n".join(f"  {number:2} {line}" for number, line in enumerate(self.script, start=1))
            replay = f"python tests/simulation/replay.py {self.seed}"
            raise Broken(f"seed {self.seed}: {error}\n{script}\nreplay: {replay}") from error
        finally:
            self.server.close()

    def check(self, kind: str) -> None:
        """The rules after each step."""
        ids, kept = self.server.ids(), self.server.kept()
        require(ids[: len(self.ledger)] == self.ledger, "the ledger did not only grow")
        self.ledger = ids
        if not self.behind:
            lost = self.acknowledged - set(kept) - set(self.server.held()) - self.gone
            require(not lost, f"acknowledged and not there: {sorted(lost)}")
            require(not set(self.stranger.own) & set(kept), "a stranger's own entry is kept")
            if kind in TOUCH_TRUST:
                self._check_guests()
        for phone in self.phones:
            missing = self.made.get(phone.device, set()) - set(phone.disk.entries)
            require(not missing, f"{self.who(phone)} has dropped {sorted(missing)}")
            seen = {s.entry.id for s in phone.disk.entries.values() if s.sending == "seen"}
            if not self.behind:
                require(seen <= set(ids), f"{self.who(phone)} has seen what the ledger does not have")

    def _check_guests(self) -> None:
        """Who was revoked, or has another role, stays so whatever comes in again."""
        found = self.server.standings()
        for guest in self.guests:
            says = found.get(guest.key.thumbprint)
            require(says == guest.standing, f"guest {guest.number} is {says}, not {guest.standing}")

    def heal(self) -> None:
        """No more troubles: late calls arrive, the owner restores, the office admits, everybody syncs."""
        self.say("from here on nothing goes wrong")
        while self.delayed:
            self._step_deliver(self.phones[0])
        if self.behind:
            self._restore()
        if self.gone or self.behind:
            self._flood()
        self._admit_all()
        for guest in self.guests if self.behind else ():
            guest.is_settled(self.server)
        for phone in [*self.phones, *self.phones]:
            require(self._sync(phone), f"{self.who(phone)} cannot sync though nothing goes wrong")
        before = self.server.ids()
        self._flood()
        require(self.server.ids() == before, "a stranger changed a book that had everything")

    def _restore(self) -> None:
        for base in (None, 1):
            self.server.restore(base)
            self.met.add(RESTORED)
            self.say(f"the owner restores the book, base {base or 'all'}")
            for guest in self.guests:  # what was said of them before may still come back
                self.office_says(guest)
            self._admit_all()  # who may not read does not notice that it is another book
            synced = [self._sync(phone) for phone in self.phones]
            if all(synced):
                break

    def _admit_all(self) -> None:
        """Every phone of the crew is opened again and admitted, and those whose keys are gone with them."""
        for phone in self.phones:
            phone.kill()
            self._sync(phone)
            if phone.device not in self._admitted():
                self.server.admit(phone.disk.key.jwk, phone.disk.person)
        unknown = {held.device for held in self.server.held().values() if held.why == "unknown_device"}
        for device in unknown & set(self.person_of):
            self.server.admit(self.server.held_jwk(device), self.person_of[device])

    def _flood(self) -> None:
        """The stranger sends all that he has heard, in both forms, by both doors."""
        texts = self.stranger.everything()
        half = len(texts) // 2
        self.answer(SyncInput(0, texts[:half]), None, None)
        self.ask(texts[half:], lambda: self.server.take_in(texts[half:]))

    def _admitted(self) -> set[str]:
        entries = map(read_kept, self.server.texts())
        return {entry.body["device"] for entry in entries if entry.type == "device_admitted"}

    def _sync(self, phone: Phone) -> bool:
        for _ in range(40):
            request = phone.brings(50)
            result = self.answer(request, phone.device, None)
            if result is None or not self.take(phone, request, result):
                return False
            if result.reading != "restored" and not phone.brings(1).entries:
                return True
        return False

    def check_end(self) -> dict[str, Any]:
        """The rules in the end; return the book and how its checks stand, for another reader of the rules."""
        ids = self.server.ids()
        root = Frontier().extend(bytes.fromhex(entry) for entry in ids).root_hash
        for phone in self.phones:
            require(phone.disk.frontier.root_hash == root, f"{self.who(phone)} has another book")
        kept = self.server.kept()
        lost = set(self.created) - set(kept) - self.gone
        require(not lost, f"never came into the book: {sorted(lost)}")
        entries = [read_kept(jws) for jws in self.server.texts()]
        require(len({entry.input for entry in entries}) == len(ids), "an entry stands in the book twice")
        self._check_states(entries)
        if self.seed % REBUILD_EVERY == 0:
            with self.server.store.write() as session:
                rebuild(session, self.server.book)
            self.met.add(REBUILT)
            self._check_states(entries)
        report = self._verified(len(ids))
        self._check_guests()
        self._let_guests_sign({"epoch": report.epoch, "size": report.size, "root": report.root})
        return self._told(entries)

    def _verified(self, size: int) -> Report:
        """What verify says of the server's export: as many entries as here, all with an effect.

        After a loss, late words of the office that it has replaced since have none.
        """
        with self.server.store.read() as session:
            lines = [line.encode() for line in export_book(session, find_book(session, "sim"))]
        report = verify_export(lines, self.machine.owner)
        require(report.size == size, f"verify sees {report.size} entries, not {size}")
        kinds = [kind for kind in Void if kind is not Void.OUTDATED or not self.behind]
        void = {kind.value: report.counts.get(kind.value, 0) for kind in kinds}
        require(not any(void.values()), f"verify sees entries without effect: {void}")
        return report

    def _let_guests_sign(self, over: dict[str, Any]) -> None:
        """What they say of the wall is kept from those alone whose role allows it."""
        texts = [guest.signs(self.server.book, over) for guest in self.guests]
        verdicts = self.server.exchange(SyncInput(0, texts), None, None).verdicts
        for guest, verdict in zip(self.guests, verdicts, strict=True):
            found = (verdict.verdict, verdict.why)
            require(found == guest.answer, f"guest {guest.number}, {guest.standing}, signs: {found}")

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
            "twisted": len(self.stranger.twisted),
            "entries": [{"jws": entry.jws, "index": index} for index, entry in enumerate(entries)],
            "states": {check: [s.state, s.weight, list(s.standing)] for check, s in states.items()},
        }
