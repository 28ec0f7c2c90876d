"""What findings added up to over exactly the entries that a sign-off covers."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from seamwalk.domain.findings.findings import Act, CheckState, Fold, entry_ids


@dataclass(frozen=True)
class Extent:
    """What a sign-off covers: what stands before `size`, and what `own` names, wherever it stands."""

    size: int
    own: frozenset[str]


@dataclass(frozen=True)
class Coverage:
    """The states of checks as a sign-off covers them, and the acts behind them by their ids."""

    states: Mapping[str, CheckState]
    acts: Mapping[str, Act]

    def of_wall(self, wall: str) -> dict[str, CheckState]:
        """The states of one wall's checks."""
        return {check: state for check, state in self.states.items() if check.startswith(f"{wall}/")}


def coverages(placed: Iterable[tuple[int, Act]], extents: Sequence[Extent]) -> Iterator[tuple[int, Coverage]]:
    """Add acts up once, in the order of the book; yield each extent's number and what it covers, by size.

    `placed` has acts with their index, in any order.
    """
    in_order = sorted(placed, key=lambda item: item[0])
    by_id = {act.id: act for _, act in in_order}
    place_of = {name: place for place, (_, act) in enumerate(in_order) for name in entry_ids(act)}
    fold, states, at = Fold(), dict[str, CheckState](), 0
    for number in sorted(range(len(extents)), key=lambda number: extents[number].size):
        extent, start = extents[number], at
        while at < len(in_order) and in_order[at][0] < extent.size:
            at += 1
        changed = fold.add(act for _, act in in_order[start:at])
        states.update({check: fold.state(check) for check in changed})
        own = sorted({place_of[name] for name in extent.own if name in place_of})
        beyond = fold.states_with([in_order[place][1] for place in own if place >= at])
        yield number, Coverage({**states, **beyond}, by_id)
