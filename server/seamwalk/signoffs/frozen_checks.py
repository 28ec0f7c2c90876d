"""What a frozen checks file says of signing: which checks a wall is signed for, which are structural."""

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

# what files do not say is a constant of their version
_OF_STRIKE = {
    1: frozenset({"dead", "unplugged", "lowered", "unclamped", "unsupported", "struck", "bar_cased"})
}


@dataclass(frozen=True)
class FrozenChecks:
    """A plan's checks but those of taking down, in their order, and which of them are structural."""

    version: int
    ids: tuple[str, ...]
    structural: frozenset[str]

    def signs_for(self, check: str) -> bool:
        """Whether a check's kind is one that walls are signed for, also where it is planned no longer."""
        return _kind(check) not in _OF_STRIKE[self.version]


class _Part(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True)


class _Kind(_Part):
    structural: bool


class _Check(_Part):
    id: str
    kind: str
    structural: bool = False  # older files say it at each check, newer ones once for its kind


class _File(_Part):
    v: Literal[1]
    checks: list[_Check]
    kinds: dict[str, _Kind] = {}


def read_frozen_checks(data: bytes) -> FrozenChecks | None:
    """Read a checks file; None when it is none, or of a version that is unknown here."""
    try:
        file = _File.model_validate_json(data)
    except ValidationError:
        return None
    of_strike = _OF_STRIKE[file.v]
    checks = [check for check in file.checks if _kind(check.id) not in of_strike]
    structural = {check.id for check in checks if file.kinds.get(check.kind, check).structural}
    return FrozenChecks(file.v, tuple(check.id for check in checks), frozenset(structural))


def _kind(check: str) -> str:
    """The kind that a check's id ends in."""
    return check.rpartition("/")[2].partition(":")[0]
