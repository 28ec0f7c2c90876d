"""What a frozen checks file says of signing: which checks a wall is signed for, which are structural."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

# what files do not say is a constant of their version
_STRUCK = frozenset({"dead", "unplugged", "lowered", "unclamped", "unsupported", "struck", "bar_cased"})
_OF_STRIKE = {1: _STRUCK, 2: _STRUCK}
# from version 2 on these statements are over the kinds that name them, all others over the whole wall
_OF_KINDS = frozenset({"suspension", "supply", "picture"})


@dataclass(frozen=True)
class FrozenChecks:
    """A plan's checks but those of taking down, in their order, and which of them are structural."""

    version: int
    ids: tuple[str, ...]
    structural: frozenset[str]
    kinds: Mapping[str, "FrozenKind"] = field(default_factory=dict)
    tiles: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @property
    def knows_releases(self) -> bool:
        """Whether a stop holds until somebody lets the crew go on."""
        return self.version != 1

    def signs_for(self, check: str) -> bool:
        """Whether a check's kind is one that walls are signed for, also where it is planned no longer."""
        return _kind(check) not in _OF_STRIKE[self.version]

    def covers(self, statement: str, check: str) -> bool:
        """Whether a check's kind is one that a statement is over."""
        if self.version == 1 or statement not in _OF_KINDS:
            return self.signs_for(check)
        kind = self.kinds.get(_kind(check))
        return kind is not None and kind.statement == statement

    def duty_of(self, check: str) -> str:
        """Whose word lets a crew go on after a stop at a check."""
        kind = self.kinds.get(_kind(check))
        return kind.duty if kind is not None else "site"

    def standing_on(self, marked: Sequence[frozenset[str] | None]) -> frozenset[str]:
        """Checks that have to do with any of these tiles; None is the whole wall."""
        if any(tiles is None for tiles in marked):
            return frozenset(self.ids)
        wanted = frozenset().union(*(tiles for tiles in marked if tiles is not None))
        return frozenset(check for check, tiles in self.tiles.items() if not wanted.isdisjoint(tiles))


class _Part(BaseModel):
    model_config = ConfigDict(strict=True, frozen=True)


class FrozenKind(_Part):
    """What a file says of a kind of checks."""

    structural: bool
    duty: str = "site"
    statement: str | None = None


class _Check(_Part):
    id: str
    kind: str
    tiles: list[str] = []
    structural: bool = False  # older files say it at each check, newer ones once for its kind


class _File(_Part):
    v: Literal[1, 2]
    checks: list[_Check]
    kinds: dict[str, FrozenKind] = {}


def read_frozen_checks(data: bytes) -> FrozenChecks | None:
    """Read a checks file; None when it is none, or of a version that is unknown here."""
    try:
        file = _File.model_validate_json(data)
    except ValidationError:
        return None
    of_strike = _OF_STRIKE[file.v]
    checks = [check for check in file.checks if _kind(check.id) not in of_strike]
    structural = {check.id for check in checks if file.kinds.get(check.kind, check).structural}
    ids = tuple(check.id for check in checks)
    tiles = {check.id: frozenset(check.tiles) for check in checks}
    return FrozenChecks(file.v, ids, frozenset(structural), file.kinds, tiles)


def _kind(check: str) -> str:
    """The kind that a check's id ends in."""
    return check.rpartition("/")[2].partition(":")[0]
