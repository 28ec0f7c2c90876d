"""Who is admitted to a book, and what becomes of an entry: the same rules for the server and for verify."""

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

from seamwalk.book.entry import Entry, check_body
from seamwalk.book.jose import Jwk, PublicKey
from seamwalk.book.roles import Role, may_write
from seamwalk.book.types import BODIES
from seamwalk.errors import BookError


class Held(StrEnum):
    """Why an entry is kept apart, without a place in the book."""

    UNKNOWN_DEVICE = "unknown_device"
    REVOKED_DEVICE = "revoked_device"
    UNKNOWN_TYPE = "unknown_type"
    UNKNOWN_VERSION = "unknown_version"
    ROLE = "role"
    OTHER_ROOT = "other_root"


class Refused(StrEnum):
    """Why an entry is not taken at all."""

    MALFORMED = "malformed"
    SIGNATURE = "signature"
    WRONG_BOOK = "wrong_book"
    KEY_MISSING = "key_missing"
    SCHEMA = "schema"


@dataclass(frozen=True)
class Judgement:
    """What becomes of an entry: kept when both are None; `detail` says what is wrong."""

    held: Held | None = None
    refused: Refused | None = None
    detail: str = ""

    @property
    def kept(self) -> bool:
        """Whether the entry may have a place in the book."""
        return self.held is None and self.refused is None


KEPT = Judgement()


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

    def judge(self, entry: Entry) -> Judgement:
        """Say what becomes of an entry, given all that was applied before it."""
        if entry.book != self.book:
            return Judgement(refused=Refused.WRONG_BOOK, detail=f"it belongs to book {entry.book}")
        try:
            key = self._key_of(entry)
        except BookError as error:
            return Judgement(refused=Refused.MALFORMED, detail=error.message)
        if key is None:
            return Judgement(refused=Refused.KEY_MISSING, detail=f"no key for device {entry.device}")
        if key.thumbprint != entry.device or not key.verifies(entry.jws):
            return Judgement(refused=Refused.SIGNATURE, detail="the signature does not fit the device's key")
        return self._judge_content(entry)

    def _judge_content(self, entry: Entry) -> Judgement:
        if entry.is_known:
            try:
                check_body(entry)
            except BookError as error:
                return Judgement(refused=Refused.SCHEMA, detail=error.message)
        why = self._why_held(entry)
        return KEPT if why is None else Judgement(held=why, detail=f"{why}: {entry.type} by {entry.device}")

    def _why_held(self, entry: Entry) -> Held | None:
        if not entry.is_known:
            return Held.UNKNOWN_VERSION if entry.type in BODIES else Held.UNKNOWN_TYPE
        if self.owner is None:
            opens = entry.type == "book_opened" and entry.body["owner_jwk"] == entry.jwk
            return None if opens else Held.UNKNOWN_DEVICE
        device = self.devices.get(entry.device)
        if device is None:
            return Held.UNKNOWN_DEVICE
        if self.lets_in(entry):
            return None
        if device.revoked:
            return Held.REVOKED_DEVICE
        if not may_write(device.role, entry.type, entry.body.get("statement")) or entry.type == "book_opened":
            return Held.ROLE
        return None

    def _key_of(self, entry: Entry) -> PublicKey | None:
        known = self.devices.get(entry.device)
        if known is not None:
            return known.key
        return None if entry.jwk is None else PublicKey(entry.jwk)

    def author_of(self, entry: Entry) -> str:
        """The person behind an entry, or its device while that is unknown."""
        device = self.devices.get(entry.device)
        return entry.device if device is None else device.person

    def lets_in(self, entry: Entry) -> bool:
        """Whether the office has let in this very entry."""
        return entry.id in self.let_in

    def agreed_size(self, epoch: int, size: int) -> int:
        """How many of the `size` entries of a head of `epoch` stand in their order after later restores."""
        return min([size, *(restore.base_size for restore in self.restores if restore.epoch > epoch)])

    def apply(self, entry: Entry) -> None:
        """Take a kept entry into account; entries of types that change no trust are passed over."""
        change = _CHANGES.get(entry.type)
        if change is not None:
            change(self, entry)

    def _apply_book_opened(self, entry: Entry) -> None:
        body = entry.body
        self.owner = PublicKey(body["owner_jwk"])
        self.epoch = body["epoch"]
        self._take_head_key(body["head_jwk"])
        self.devices[self.owner.thumbprint] = Device(self.owner, "office", Role.OFFICE)

    def _apply_device_admitted(self, entry: Entry) -> None:
        body = entry.body
        key = PublicKey(body["jwk"])
        self.devices[key.thumbprint] = Device(key, body["person"], Role(body["role"]))

    def _apply_device_revoked(self, entry: Entry) -> None:
        device = self.devices.get(entry.body["device"])
        if device is not None:
            device.revoked = True

    def _apply_entry_admitted(self, entry: Entry) -> None:
        self.let_in.add(entry.body["entry"])

    def _apply_head_key_changed(self, entry: Entry) -> None:
        if entry.body["epoch"] == self.epoch:
            self._take_head_key(entry.body["head_jwk"])

    def _apply_restored(self, entry: Entry) -> None:
        body = entry.body
        if body["epoch"] <= self.epoch:
            return
        self.epoch = body["epoch"]
        self.restores.append(Restore(self.epoch, body["base_size"], body["base_root"], entry.jws))
        self._take_head_key(body["head_jwk"])

    def _take_head_key(self, jwk: Jwk) -> None:
        self.head_key = PublicKey(jwk)
        self.head_keys[self.head_key.thumbprint] = self.head_key


# entry type -> what it changes; entries of other types change no trust
_CHANGES: dict[str, Callable[[Trust, Entry], None]] = {
    "book_opened": Trust._apply_book_opened,
    "device_admitted": Trust._apply_device_admitted,
    "device_revoked": Trust._apply_device_revoked,
    "entry_admitted": Trust._apply_entry_admitted,
    "head_key_changed": Trust._apply_head_key_changed,
    "restored": Trust._apply_restored,
}
TRUST_TYPES = tuple(_CHANGES)
