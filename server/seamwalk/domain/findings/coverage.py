"""What findings added up to over exactly the entries that a sign-off covers."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from seamwalk.domain.findings.findings import Act, CheckState, Fold, entry_ids


@dataclass(frozen=True)
class Extent:
    """What a sign-off covers: what stands before `size`, and what `own` names, wherever it stands."""

    size: int
    own: frozenset[str]


@dataclass(frozen=True)
class Coverage:
    """The states of checks as a sign-off covers them.

    What is behind them is there until the next coverage is asked for: `_beyond` has all acts at the checks
    that own entries beyond the size changed, `_before` those of all others.
    """

    states: Mapping[str, CheckState]
    _before: Fold
    _beyond: Fold
    _changed: Set[str]

    def of_wall(self, wall: str) -> dict[str, CheckState]:
        """The states of one wall's checks."""
        return {check: state for check, state in self.states.items() if check.startswith(f"{wall}/")}

    def fold_of(self, check: str) -> Fold:
        """The findings that tell of a check."""
        return self._beyond if check in self._changed else self._before

    def held(self, duty_of: Callable[[str], str]) -> set[str]:
        """Checks with a stop after which nobody had let the crew go on."""
        return (self._before.held(duty_of) - self._changed) | (self._beyond.held(duty_of) & self._changed)


def coverages(placed: Iterable[tuple[int, Act]], extents: Sequence[Extent]) -> Iterator[tuple[int, Coverage]]:
    """Add acts up once, in the order of the book; yield each extent's number and what it covers, by size.

    `placed` has acts with their index, in any order.
    """
    in_order = sorted(placed, key=lambda item: item[0])
    place_of = {name: place for place, (_, act) in enumerate(in_order) for name in entry_ids(act)}
    fold, states, at = Fold(), dict[str, CheckState](), 0
    for number in sorted(range(len(extents)), key=lambda number: extents[number].size):
        extent, start = extents[number], at
        while at < len(in_order) and in_order[at][0] < extent.size:
            at += 1
        changed = fold.add(act for _, act in in_order[start:at])
        states.update({check: fold.state(check) for check in changed})
        own = sorted({place_of[name] for name in extent.own if name in place_of})
        later, beyond = fold.with_acts([in_order[place][1] for place in own if place >= at])
        after = {check: beyond.state(check) for check in later}
        yield number, Coverage({**states, **after}, fold, beyond, later)
