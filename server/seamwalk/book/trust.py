"""Who is admitted to a book, and what becomes of an entry: the same rules for the server and for verify.

An entry on its way in is judged. One that a book keeps is taken into account, in index order. Some have no
effect: what admits or revokes a device and comes in, as after a restore, when the owner has said something
newer of it; and in books from before rules 2 texts over a signing input that stood there already, and what
only they had let in.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from hashlib import sha256

from seamwalk.book.entry import Entry, check_body
from seamwalk.book.jose import Jwk, PublicKey
from seamwalk.book.judgement import KEPT, Held, Judgement, Refused, Void
from seamwalk.book.parsing import read_entry
from seamwalk.book.roles import Role, may_write
from seamwalk.book.rules import FIRST, NEWEST
from seamwalk.book.types import BODIES
from seamwalk.errors import BookError


@dataclass
class Device:
    """A device as the book knows it."""

    key: PublicKey
    person: str
    role: Role
    revoked: bool = False


@dataclass(frozen=True)
class Restore:
    """A new epoch: what stands before `base_size` (root `base_root`, hex) is as in the epoch before."""

    epoch: int
    base_size: int
    base_root: str
    jws: str


@dataclass
class Trust:
    """The devices and keys of one book after the entries applied so far, in index order."""

    book: str
    owner: PublicKey | None = None
    head_key: PublicKey | None = None
    head_keys: dict[str, PublicKey] = field(default_factory=dict)
    epoch: int = 1
    restores: list[Restore] = field(default_factory=list)
    devices: dict[str, Device] = field(default_factory=dict)
    let_in: set[str] = field(default_factory=set)
    rules: int = FIRST
    epochs: set[int] = field(default_factory=set)
    # by device the `at` of the newest that the owner has said of it
    _said: dict[str, str] = field(default_factory=dict, repr=False)
    _taken: set[bytes] = field(default_factory=set, repr=False)
    _as_it_was: "Trust | None" = field(default=None, repr=False)

    def judge(self, entry: Entry, rules: int = NEWEST) -> Judgement:
        """Say what the rules of a number make of an entry, given all that was taken before it."""
        if entry.book != self.book:
            return Judgement(refused=Refused.WRONG_BOOK, detail=f"it belongs to book {entry.book}")
        unsigned = self.judge_signature(entry)
        return unsigned if not unsigned.kept else self.judge_content(entry, rules)

    def judge_content(self, entry: Entry, rules: int = NEWEST) -> Judgement:
        """Say what the rules of a number make of what an entry of this book says, its signature aside."""
        try:
            if entry.is_known:
                _check_content(entry, rules)
        except BookError as error:
            return Judgement(refused=Refused.SCHEMA, detail=error.message)
        wrong = self._why_no_admission(entry) if rules >= NEWEST else None
        if wrong is not None:
            return Judgement(refused=Refused.ADMISSION, detail=wrong)
        why = self._why_held(entry, rules)
        return KEPT if why is None else Judgement(held=why, detail=f"{why}: {entry.type} by {entry.device}")

    def judge_signature(self, entry: Entry) -> Judgement:
        """Say whether the text's signature is that of the device that it names."""
        try:
            key = self._key_of(entry)
        except BookError as error:
            return Judgement(refused=Refused.MALFORMED, detail=error.message)
        if key is None:
            return Judgement(refused=Refused.KEY_MISSING, detail=f"no key for device {entry.device}")
        if key.thumbprint != entry.device or not key.verifies(entry.jws):
            return Judgement(refused=Refused.SIGNATURE, detail="the signature does not fit the device's key")
        return KEPT

    def _why_held(self, entry: Entry, rules: int) -> Held | None:
        if not entry.is_known:
            return Held.UNKNOWN_VERSION if entry.type in BODIES else Held.UNKNOWN_TYPE
        if self.owner is None:
            opens = entry.type == "book_opened" and entry.body["owner_jwk"] == entry.jwk
            return None if opens else Held.UNKNOWN_DEVICE
        device = self.devices.get(entry.device)
        if device is None:
            return Held.UNKNOWN_DEVICE
        barred = rules >= NEWEST and self._oversteps(entry)
        begins = entry.type == "rules_begun" and self.is_owner(entry.device)
        if begins or (self.lets_in(entry) and not barred):
            return None
        if device.revoked:
            return Held.REVOKED_DEVICE
        may = may_write(device.role, entry.type, entry.body)
        return Held.ROLE if barred or not may or entry.type == "book_opened" else None

    def _oversteps(self, entry: Entry) -> bool:
        """Whether it says who may write and is not the owner's, which neither a role nor the office allows.

        A book is opened once, so a second opening is nobody's.
        """
        return entry.type in _CHANGES and (entry.type == "book_opened" or not self.is_owner(entry.device))

    def is_owner(self, device: str) -> bool:
        """Whether a device is the owner's."""
        return self.owner is not None and device == self.owner.thumbprint

    def _why_no_admission(self, entry: Entry) -> str | None:
        """What is wrong with an entry that admits or revokes a device; None when nothing is."""
        body = entry.body
        if entry.type not in DEVICE_TYPES:
            return None
        if self.is_owner(body["device"]):
            return "the owner's own device is neither admitted nor revoked"
        if entry.type == "device_revoked":
            return None
        if PublicKey(body["jwk"]).thumbprint != body["device"]:
            return "its key is not the device that it names"
        if body["role"] == Role.OFFICE:
            return "the office's role is the owner's alone"
        known = self.devices.get(body["device"])
        if known is not None and known.person != body["person"]:
            return "admitting a device again changes its name and role, never its person"
        return None

    def _key_of(self, entry: Entry) -> PublicKey | None:
        known = self.devices.get(entry.device)
        if known is None and self._as_it_was is not None:
            known = self._as_it_was.devices.get(entry.device)
        if known is not None:
            return known.key
        return None if entry.jwk is None else PublicKey(entry.jwk)

    def author_of(self, entry: Entry) -> str:
        """The person behind an entry, or its device while that is unknown."""
        device = self.devices.get(entry.device)
        return entry.device if device is None else device.person

    def lets_in(self, entry: Entry) -> bool:
        """Whether the office has let in this very entry."""
        return bool(self.let_in) and entry.is_among(self.let_in)

    def agreed_size(self, epoch: int, size: int) -> int:
        """How many of the `size` entries of a head of `epoch` stand in their order after later restores."""
        return min([size, *(restore.base_size for restore in self.restores if restore.epoch > epoch)])

    def take(self, entry: Entry) -> Void | None:
        """Take a kept entry into account; say why it has no effect, None when it has.

        Entries of types that change no trust may be left out.
        """
        void = self._why_void(entry)
        if self._as_it_was is not None:
            self._as_it_was._apply(entry)
        if void is None:
            self._apply(entry)
        return void

    def _apply(self, entry: Entry) -> None:
        change = _CHANGES.get(entry.type)
        if change is not None:
            change(self, entry)

    def _why_void(self, entry: Entry) -> Void | None:
        signed = sha256(entry.input.encode("ascii")).digest()
        if signed in self._taken:
            if self._as_it_was is None and self.rules < NEWEST:
                self._as_it_was = self._copy()
            return Void.TWIN
        self._taken.add(signed)
        if self.rules >= NEWEST:
            return Void.OUTDATED if self._is_outdated(entry) else None
        then = self._as_it_was
        if then is None or then._why_held(entry, FIRST) is not None:
            return None
        return None if self._why_held(entry, FIRST) is None else Void.LET_IN_BY_TWIN

    def _is_outdated(self, entry: Entry) -> bool:
        """Whether the owner has said something newer of the device that an entry admits or revokes."""
        if entry.type not in DEVICE_TYPES or not self.is_owner(entry.device):
            return False
        return entry.at < self.said_at(entry.body["device"])

    def said_at(self, device: str) -> str:
        """The `at` of the newest admission or revocation of a device; "" when there was none."""
        return self._said.get(device, "")

    def _note_said(self, device: str, entry: Entry) -> None:
        self._said[device] = max(entry.at, self.said_at(device))

    def _copy(self) -> "Trust":
        """The trust as the first twin found it; it goes on as rules 1 had it, with twins taken for new."""
        devices = {name: replace(device) for name, device in self.devices.items()}
        return replace(
            self,
            head_keys={**self.head_keys},
            restores=[*self.restores],
            devices=devices,
            let_in={*self.let_in},
            epochs={*self.epochs},
            _said={**self._said},
            _taken=set(),
        )

    def _apply_book_opened(self, entry: Entry) -> None:
        body = entry.body
        self.owner = PublicKey(body["owner_jwk"])
        self.epoch = body["epoch"]
        self.epochs.add(self.epoch)
        self.rules = body.get("rules", FIRST)
        self._take_head_key(body["head_jwk"])
        self.devices[self.owner.thumbprint] = Device(self.owner, "office", Role.OFFICE)

    def _apply_device_admitted(self, entry: Entry) -> None:
        body = entry.body
        key = PublicKey(body["jwk"])
        self.devices[key.thumbprint] = Device(key, body["person"], Role(body["role"]))
        self._note_said(key.thumbprint, entry)

    def _apply_device_revoked(self, entry: Entry) -> None:
        self._note_said(entry.body["device"], entry)
        device = self.devices.get(entry.body["device"])
        if device is not None:
            device.revoked = True

    def _apply_entry_admitted(self, entry: Entry) -> None:
        self.let_in.add(entry.body["entry"])

    def rules_of(self, entry: Entry) -> int:
        """The number of the rules that an entry at this place of the book was let in under."""
        opens = self.owner is None and (entry.type, entry.v) == ("book_opened", 2)
        named = entry.body.get("rules") if opens else None
        return max(self.rules, named) if type(named) is int else self.rules

    def _apply_rules_begun(self, entry: Entry) -> None:
        """Under rules 1 the owner could lock its own device out; from here on it writes again."""
        self.rules = max(self.rules, entry.body["rules"])
        if self.owner is not None:
            self.devices[self.owner.thumbprint] = Device(self.owner, "office", Role.OFFICE)

    def _apply_head_key_changed(self, entry: Entry) -> None:
        if entry.body["epoch"] == self.epoch:
            self._take_head_key(entry.body["head_jwk"])

    def _apply_restored(self, entry: Entry) -> None:
        body = entry.body
        if body["epoch"] <= self.epoch:
            return
        self.epoch = body["epoch"]
        self.epochs.add(self.epoch)
        self.restores.append(Restore(self.epoch, body["base_size"], body["base_root"], entry.jws))
        self._take_head_key(body["head_jwk"])

    def _take_head_key(self, jwk: Jwk) -> None:
        self.head_key = PublicKey(jwk)
        self.head_keys[self.head_key.thumbprint] = self.head_key


def _check_content(entry: Entry, rules: int) -> None:
    """Check a known entry's body and the keys in it; raise BookError."""
    check_body(entry, rules)
    for name in ("jwk", "owner_jwk", "head_jwk"):
        if name in entry.body:
            PublicKey(entry.body[name])


def read_at(jws: str, trust: Trust) -> tuple[Entry, int]:
    """Read a kept entry under the rules of its place, with their number; raise BookError."""
    entry = read_entry(jws, trust.rules)
    rules = trust.rules_of(entry)
    return entry if rules == trust.rules else read_entry(jws, rules), rules


# entry type -> what it changes; entries of other types change no trust
_CHANGES: dict[str, Callable[[Trust, Entry], None]] = {
    "book_opened": Trust._apply_book_opened,
    "rules_begun": Trust._apply_rules_begun,
    "device_admitted": Trust._apply_device_admitted,
    "device_revoked": Trust._apply_device_revoked,
    "entry_admitted": Trust._apply_entry_admitted,
    "head_key_changed": Trust._apply_head_key_changed,
    "restored": Trust._apply_restored,
}
TRUST_TYPES = tuple(_CHANGES)
DEVICE_TYPES = ("device_admitted", "device_revoked")
