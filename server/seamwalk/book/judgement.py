"""What becomes of an entry: kept, held or refused, and whether one that is kept has an effect."""

from dataclasses import dataclass
from enum import StrEnum


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
    ADMISSION = "admission"


class Void(StrEnum):
    """Why an entry that a book keeps has no effect."""

    TWIN = "twin"
    LET_IN_BY_TWIN = "let_in_by_twin"
    OUTDATED = "outdated"  # of a device the owner has said something newer


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

    @property
    def code(self) -> str:
        """The code of the test that the entry failed; "" when it may be kept."""
        if self.refused is Refused.MALFORMED:
            return "jwk"
        why = self.refused or self.held
        return "" if why is None else why.value


KEPT = Judgement()
