"""Who may write what, and what becomes of an entry: the tests from `wrong_book` to `role`."""

from dataclasses import dataclass, field
from typing import Any

from second_reader.entries import Entry, parse
from second_reader.keys import Key
from second_reader.published import Published
from second_reader.strict import need

TRUST = {"book_opened", "rules_begun", "device_admitted", "device_revoked", "entry_admitted"}
TRUST |= {"restored", "head_key_changed"}
OF_DEVICE = {"device_admitted", "device_revoked"}


@dataclass
class Device:
    key: Key
    person: str | None
    role: str
    revoked: bool = False


@dataclass
class Trust:
    """What the entries applied so far say of keys, devices, epochs and rules."""

    owner: str | None = None
    head_key: Key | None = None
    epoch: int = 0
    rules: int = 1
    epochs: set[int] = field(default_factory=set)
    bases: list[tuple[int, int]] = field(default_factory=list)
    devices: dict[str, Device] = field(default_factory=dict)
    let_in: set[str] = field(default_factory=set)
    said: dict[str, str] = field(default_factory=dict)

    def lets_in(self, entry: Entry) -> bool:
        return bool(entry.ids & self.let_in)

    def outdates(self, entry: Entry) -> bool:
        """Whether the owner has said something newer of the device that an entry is about."""
        return entry.type in OF_DEVICE and entry.at < self.said.get(entry.body["device"], "")

    def _say(self, device: str, at: str) -> None:
        self.said[device] = max(at, self.said.get(device, ""))

    def apply(self, entry: Entry) -> None:
        body = entry.body
        match entry.type:
            case "book_opened":
                key = Key(body["owner_jwk"], "schema")
                self.owner, self.rules = key.name, body.get("rules", 1)
                self.devices[key.name] = Device(key, None, "office")
                self._begin(body)
            case "rules_begun":
                self.rules = max(self.rules, body["rules"])
                self.devices[str(self.owner)].revoked = False
            case "device_admitted":
                key = Key(body["jwk"], "schema")
                self.devices[key.name] = Device(key, body["person"], body["role"])
                self._say(key.name, entry.at)
            case "device_revoked":
                self._say(body["device"], entry.at)
                if body["device"] in self.devices:
                    self.devices[body["device"]].revoked = True
            case "entry_admitted":
                self.let_in.add(body["entry"])
            case "head_key_changed" if body["epoch"] == self.epoch:
                self.head_key = Key(body["head_jwk"], "schema")
            case "restored" if body["epoch"] > self.epoch:
                self._begin(body)
                self.bases.append((body["epoch"], body["base_size"]))

    def _begin(self, body: dict[str, Any]) -> None:
        self.epoch, self.head_key = body["epoch"], Key(body["head_jwk"], "schema")
        self.epochs.add(self.epoch)


class Judge:
    """Judges the entries of one book in their order; `trust` is that of all entries that are not void."""

    def __init__(self, book: str, public: Published) -> None:
        self.book, self.public = book, public
        self.trust, self.all = Trust(), Trust()
        self.signed: set[str] = set()

    def read(self, text: object) -> tuple[Entry, int]:
        """An entry and the number of the rules of its place."""
        entry, rules = parse(text, self.trust.rules), self.trust.rules
        named = entry.body.get("rules")
        opens = self.trust.owner is None and (entry.type, entry.v) == ("book_opened", 2)
        if opens and type(named) is int and named > 1:
            return parse(text, named), named
        return entry, rules

    def judge(self, entry: Entry, rules: int) -> str | None:
        """Why an entry is void, None when it is not; raise Refusal. It has its effect from here on."""
        self._check_signature(entry)
        wrong = self.why_not(entry, rules)
        need(wrong is None, str(wrong))
        void = self._void(entry)
        need(void != "twin" or rules == 1, "twin")
        held = self._held(self.trust, entry, rules)
        need(void or held is None, str(held))
        if rules > 1 and self.trust.outdates(entry):
            void = "outdated"
        self.signed.add(entry.signed)
        for trust in (self.all,) if void else (self.all, self.trust):
            trust.apply(entry)
        return void

    def _check_signature(self, entry: Entry) -> None:
        need(entry.book == self.book, "wrong_book")
        known = self.trust.devices.get(entry.device) or self.all.devices.get(entry.device)
        need(known is not None or entry.jwk is not None, "key_missing")
        key = known.key if known else Key(entry.jwk or {}, "jwk")
        need(key.name == entry.device and key.signed(entry.text, entry.signature), "signature")

    def why_not(self, entry: Entry, rules: int) -> str | None:
        """What is wrong with a body: `schema` or `admission`."""
        name = self.public.knows(entry.type, entry.v)
        if name is not None and not self.public.fits(name, entry.body, rules):
            return "schema"
        return "admission" if name and rules > 1 and self._is_no_admission(entry) else None

    def _is_no_admission(self, entry: Entry) -> bool:
        body, owner = entry.body, self.trust.owner
        if entry.type != "device_admitted":
            return entry.type == "device_revoked" and bool(body["device"] == owner)
        known = self.trust.devices.get(body["device"])
        other = known is not None and known.person != body["person"]
        unnamed = Key(body["jwk"], "schema").name != body["device"]
        return body["device"] == owner or unnamed or body["role"] == "office" or other

    def _void(self, entry: Entry) -> str | None:
        if entry.signed in self.signed:
            return "twin"
        only = self._held(self.trust, entry, 1) and not self._held(self.all, entry, 1)
        return "let_in_by_twin" if only and self.trust.rules == 1 else None

    def _held(self, trust: Trust, entry: Entry, rules: int) -> str | None:
        """Why a trust would hold an entry."""
        if self.public.knows(entry.type, entry.v) is None:
            return "unknown_version" if self.public.knows(entry.type) else "unknown_type"
        device, opening = trust.devices.get(entry.device), entry.type == "book_opened"
        if trust.owner is None:
            return None if opening and self._is_own(entry) else "unknown_device"
        if device is None:
            return "unknown_device"
        owners = entry.device == trust.owner and not opening
        barred = rules > 1 and entry.type in TRUST and not owners
        if (entry.type == "rules_begun" and owners) or (trust.lets_in(entry) and not barred):
            return None
        if device.revoked:
            return "revoked_device"
        may = self.public.may_write(device.role, entry.type, entry.body)
        return None if may and not barred and not opening else "role"

    def _is_own(self, entry: Entry) -> bool:
        """Whether the key in the header, which signed it, is the one that the body names as the owner's."""
        return entry.jwk is not None and Key(entry.body["owner_jwk"], "schema").name == entry.device
