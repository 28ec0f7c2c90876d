"""One sign-off's exceptions, measured against what stood in its way over exactly what it covers.

A statement is over all checks that a wall is signed for, or over those of the kinds that it covers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import Any

from seamwalk.domain.findings.coverage import Coverage
from seamwalk.domain.findings.second_look import is_same_hands, second_look_fault
from seamwalk.domain.findings.signoff import Blocker, WhyNot, blockers
from seamwalk.signoffs.frozen_checks import FrozenChecks, read_frozen_checks


class Unknown(StrEnum):
    """Why it cannot be worked out what stood in the way of a sign-off."""

    PLAN_MISSING = "plan_missing"
    PLAN_OF_OTHER_WALL = "plan_of_other_wall"
    FILE_MISSING = "file_missing"
    FILE_ERASED = "file_erased"
    FILE_UNREADABLE = "file_unreadable"
    OTHER_ENTRIES = "other_entries"
    ENTRIES_MISSING = "entries_missing"


@dataclass(frozen=True)
class Claim:
    """What became of a sign-off's exceptions, checks in the order of the plan.

    `left_out` stood in the way and is not named; `unnamed` are structural exceptions without the competent
    person's name; `needless` is named and was not in the way. All empty when it is `unknown` why.
    """

    left_out: tuple[Blocker, ...] = ()
    unnamed: tuple[str, ...] = ()
    needless: tuple[str, ...] = ()
    unknown: Unknown | None = None

    @property
    def flagged(self) -> bool:
        """Whether the sign-off claims more than it may."""
        return bool(self.left_out or self.unnamed)


def read_file(data: bytes | None, *, erased: bool) -> FrozenChecks | Unknown:
    """Read the checks file that a sign-off's plan names; `data` is None where it is not here."""
    if data is None:
        return Unknown.FILE_ERASED if erased else Unknown.FILE_MISSING
    return read_frozen_checks(data) or Unknown.FILE_UNREADABLE


# what says that a wall stands: not of a part that comes down
_AS_BUILT = frozenset({"built", "handover"})


def _why_not(check: str, file: FrozenChecks, covered: Coverage) -> WhyNot | None:
    """Why an ok does not count for signing."""
    if not file.knows_releases:
        return "same_hands" if is_same_hands(check, covered.fold_of) else None
    if covered.fold_of(check).unreleased(check, file.duty_of(check)):
        return "not_released"
    return second_look_fault(check, covered.fold_of)


def claim_of(
    body: Mapping[str, Any],
    file: FrozenChecks | Unknown,
    covered: Coverage,
    opened: Sequence[frozenset[str] | None] = (),
) -> Claim:
    """Measure a sign-off's body against what it covers; `opened` is what the strike was open for."""
    if isinstance(file, Unknown):
        return Claim(unknown=file)
    down = file.standing_on(opened) if body["statement"] in _AS_BUILT else frozenset()

    def why_not(check: str) -> WhyNot | None:
        return _why_not(check, file, covered) or ("coming_down" if check in down else None)

    covers = partial(file.covers, body["statement"])
    states = {check: state for check, state in covered.of_wall(body["wall"]).items() if file.signs_for(check)}
    asked = {check: state for check, state in states.items() if covers(check)}
    found = blockers([check for check in file.ids if covers(check)], asked, why_not)
    excepted = {item["check"] for item in body["exceptions"]}
    named = {item["check"] for item in body["exceptions"] if (item.get("person") or "").strip()}
    unnamed = (file.structural & excepted) - named
    there = {item.check for item in found}
    return Claim(
        tuple(item for item in found if item.check not in excepted),
        tuple(item.check for item in found if item.check in unnamed),
        tuple(sorted(excepted - there)),
    )
