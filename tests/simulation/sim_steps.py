"""The steps of a run: what people, phones, network, server and office may do, right or wrong."""

from collections.abc import Callable
from typing import Any

from sim_guests import Guest
from sim_phone import Phone, texts_of
from sim_run import Run
from sim_server import AT_COMMIT
from sqlalchemy.exc import DBAPIError

from seamwalk.book.entry import Entry
from seamwalk.errors import LostEntries
from seamwalk.store.sync.exchange import SyncInput

CHECKS = [f"A/tile/{column}.1/condition:sound" for column in (1, 2)] + ["A/side/1.1/2.1/locks:2"]
# Clocks of 1970 and 2038, one that is right, one that is a day late.
CLOCKS = [
    "1970-01-01T00:00:00.000Z",
    "2038-01-19T03:14:08.000Z",
    "2026-11-20T22:00:00.000Z",
    "2026-11-19T22:00:00.000Z",
]
# what may happen, and how often beside the others: a step, and how a call of the server goes
STEPS = {
    **{"draw": 5, "tap": 7, "fault": 4, "call": 12, "kill": 2, "deliver": 2, "release": 1, "swap": 2},
    **{"undo": 2, "not_reached": 1, "copied": 1, "wipe": 1, "plan": 1, "admit": 1, "copy": 2, "put_back": 3},
    **{"stranger": 4, "file": 1, "guest": 4},
}
CALLS = {"works": 10, "request lost": 1, "answer lost": 3, "twice": 2, "late": 2, "crash": 4}


class Steps(Run):
    """One method for each kind of step."""

    def step(self) -> str:
        """Take one step at random and tell its kind."""
        phone = self.rng.choice(self.phones)
        kind = self.rng.choices(list(STEPS), list(STEPS.values()))[0]
        self.met.add(kind)
        getattr(self, f"_step_{kind}")(phone)
        return kind

    def _step_draw(self, phone: Phone) -> None:
        check = self.rng.choice(CHECKS)
        phone.draw(check)
        self.say(f"{self.who(phone)} draws {check}")

    def _step_tap(self, phone: Phone) -> None:
        """Ok to what is drawn: one check, or all that are drawn and take a shared ok."""
        drawn = {check: ids for check, ids in phone.drawn.items() if ids or self.rng.random() < 0.7}
        if not drawn:
            phone.draw(self.rng.choice(CHECKS))
            return
        shared = len(drawn) > 1 and self.rng.random() < 0.4
        chosen = list(drawn) if shared else [self.rng.choice(list(drawn))]
        now = {check: phone.fold.state(check) for check in chosen}
        seen = {check: phone.inputs_of(drawn[check]) for check in chosen}
        if not self.late_answers and any(
            phone.inputs_of(now[check].standing) != seen[check] for check in chosen
        ):
            self.say(f"{self.who(phone)} taps on what has changed: drawn anew")
            for check in chosen:
                phone.draw(check)
            return
        if shared:
            chosen = [check for check in chosen if now[check].state not in ("ok", "fault")]
        if chosen:
            self._ok(phone, chosen, {check: drawn[check] for check in chosen})

    def _ok(self, phone: Phone, checks: list[str], drawn: dict[str, tuple[str, ...]]) -> None:
        source = {check: phone.fold.state(check).standing for check in checks} if self.late_answers else drawn
        ids = {act for acts in source.values() for act in acts}
        acts = [act for check in checks for act in phone.fold.acts_at(check)]
        kinds = {
            name: {act.kind_at(check) for check in checks if check in act.checks}
            for act in acts
            for name in (act.id, act.other)
        }
        taken = {"reopened", "not_reached"} if len(checks) > 1 else {"reopened", "not_reached", "fault"}
        answers = sorted(act for act in ids if kinds[act] & taken)
        saw = {check: phone.inputs_of(names) for check, names in drawn.items()}
        entry = self._write(phone, "found", {"checks": checks, "result": "ok", "answers": answers})
        if entry is not None:
            self.saw[entry.input] = saw

    def _step_fault(self, phone: Phone) -> None:
        weight = self.rng.choice(["stop", "show", "cosmetic"])
        at, *rest = self.rng.sample(CHECKS, len(CHECKS))
        reopens = sorted(rest[: self.rng.choice([0, 0, 1, 2])])
        fields = {"result": "fault", "weight": weight, "reason": "wet", "reopens": reopens}
        self._write(phone, "found", {"checks": [at], **fields})

    def _step_release(self, phone: Phone) -> None:
        """Somebody lets the crew go on after a stop, mended or not."""
        stops = [s.entry for s in phone.disk.entries.values() if s.entry.body.get("weight") == "stop"]
        if stops:
            fault = self.rng.choice(sorted(stops, key=lambda entry: entry.id))
            fields = {"fault": fault.id, "check": fault.body["checks"][0], "duty": "site"}
            self._write(phone, "stop_released", fields)

    def _step_not_reached(self, phone: Phone) -> None:
        self._write(phone, "found", {"checks": [self.rng.choice(CHECKS)], "result": "not_reached"})

    def _step_swap(self, phone: Phone) -> None:
        reopens = sorted(self.rng.sample(CHECKS, self.rng.randint(1, len(CHECKS))))
        self._write(phone, "swapped", {"part": "tile", "where": "1.1", "reopens": reopens})

    def _step_undo(self, phone: Phone) -> None:
        """Take back an own act, or try to take back anybody's."""
        known = [s.entry.id for s in phone.disk.entries.values() if s.entry.type in ("found", "swapped")]
        if known:
            self._write(phone, "withdrawn", {"entry": self.rng.choice(sorted(known))})

    def _step_copied(self, phone: Phone) -> None:
        """A copy of the phone writes under a number that is taken."""
        own = [s.entry for s in phone.disk.entries.values() if s.entry.device == phone.device]
        if own:
            fields = {"result": "fault", "weight": "show", "reason": "gap"}
            body = {"checks": [self.rng.choice(CHECKS)], **fields}
            self._write(phone, "found", body, reuse=self.rng.choice(own))

    def _write(
        self, phone: Phone, entry_type: str, body: dict[str, Any], reuse: Entry | None = None
    ) -> Entry | None:
        if entry_type != "withdrawn":
            body = {"plan": "0" * 64, **body}
        entry = phone.write(entry_type, body, self.rng.choice(CLOCKS), reuse)
        if entry.input in self.created:
            return None
        self.created[entry.input] = entry
        self.made.setdefault(phone.device, set()).add(entry.input)
        self.say(f"{self.who(phone)} writes {entry.id[:8]}: {entry_type} {body}")
        return entry

    def _step_kill(self, phone: Phone) -> None:
        phone.kill()
        self.say(f"{self.who(phone)} is killed and opened again")

    def _step_wipe(self, phone: Phone) -> None:
        if self.rng.random() < 0.5:
            return
        phone.wipe(self.new_key())
        self.person_of[phone.device] = phone.disk.person
        self.say(f"{self.who(phone)} loses its storage and makes a new key")
        self.count_gone()

    def _step_plan(self, _phone: Phone) -> None:
        self.say("the office sets a plan")
        self._as_office(lambda: self.server.set_plan(f"Plan {len(self.script)}"))

    def _step_admit(self, phone: Phone) -> None:
        self.say(f"the office admits {self.who(phone)}")
        self._as_office(lambda: self.server.admit(phone.disk.key.jwk, phone.disk.person))

    def _step_guest(self, _phone: Phone) -> None:
        self.office_says(self.rng.choice(self.guests))

    def office_says(self, guest: Guest) -> None:
        """The office makes something new of a guest."""
        standing = guest.next_standing(self.rng)
        self.say(f"the office makes guest {guest.number} {standing}")
        if self._as_office(lambda: guest.is_put(self.server, standing)):
            guest.standing = standing

    def _as_office(self, work: Callable[[], object]) -> bool:
        try:
            work()
        except LostEntries:
            self.say("... but the book has lost entries")
            return False
        except DBAPIError as error:
            self.say(f"... but the database says {error.orig}")
            return False
        return True

    def _step_copy(self, _phone: Phone) -> None:
        if not self.behind:
            self.copies.append(self.server.copy())
            self.say("the database is copied")

    def _step_put_back(self, _phone: Phone) -> None:
        if not self.copies:
            return
        self.server.put_back(self.rng.choice(self.copies))
        self.ledger, self.behind = self.server.ids(), True
        self.say("the disk is lost; an old copy is put back")
        self.count_gone()
        if self.rng.random() < 0.5:
            self.server.restore()
            self.say("the owner restores the book at once")

    def _step_deliver(self, _phone: Phone) -> None:
        if self.delayed:
            request, device = self.delayed.pop(self.rng.randrange(len(self.delayed)))
            self.say(f"a late call of {len(request.entries)} entries arrives; its answer is lost")
            self.answer(request, device, None)

    def _step_call(self, phone: Phone) -> None:
        self._call(phone, self.rng.choices(list(CALLS), list(CALLS.values()))[0])

    def _step_stranger(self, _phone: Phone) -> None:
        """The stranger pushes as phones do, signed in as nobody."""
        texts = self.stranger.makes(8)
        self.say(f"the stranger sends {len(texts)} texts")
        self.answer(SyncInput(0, texts), None, None)

    def _step_file(self, _phone: Phone) -> None:
        """The stranger's texts come as a file that the office takes in."""
        texts = self.stranger.makes(8)
        self.say(f"the office takes a file of {len(texts)} texts in")
        self.ask(texts, lambda: self.server.take_in(texts))

    def _call(self, phone: Phone, kind: str) -> None:
        request = phone.brings(self.rng.choice([1, 2, 50]))
        self.say(f"{self.who(phone)} calls with {len(request.entries)} entries: {kind}")
        self.met.add(kind)
        self.stranger.hears(request.entries)
        if self.stranger.is_faster():
            self._step_stranger(phone)
        if kind == "request lost":
            return
        if kind == "late":
            self.delayed.append((request, phone.device))
            return
        if kind == "twice":
            self.answer(request, phone.device, None)
        crash_after = self.rng.choice([AT_COMMIT, self.rng.randint(0, 30)]) if kind == "crash" else None
        result = self.answer(request, phone.device, crash_after)
        if result is not None:
            self.stranger.hears(texts_of(result))
        if result is not None and kind != "answer lost":
            self.take(phone, request, result)
