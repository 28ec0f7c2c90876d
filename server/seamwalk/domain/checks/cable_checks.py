"""Circuits and data runs -> checks: what is switched on, in which order, and what is pulled on purpose."""

from collections.abc import Iterator, Sequence

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.wall import Wall


def cable_checks(
    wall: Wall, circuits: Sequence[Sequence[str]], runs: Sequence[Sequence[str]], *, backup: bool
) -> Iterator[Check]:
    """The checks of a wall's supply: circuits and runs are tile ids from the feed on, in their order."""
    by_id = wall.by_id()
    if circuits:
        yield Check("feed/all", "supply", "competent", (), 1, 1)
    for number, tiles in enumerate(circuits, start=1):
        first = by_id[tiles[0]]
        yield _at(f"circuit/C{number}", "circuit", "in_order", first, tiles)
    for number, tiles in enumerate(runs, start=1):
        first = by_id[tiles[0]]
        yield _at(f"run/P{number}", "signal", "mapped", first, tiles)
        if backup:
            yield _at(f"run/P{number}", "backup", "holds", first, tiles)
    for number, tiles in enumerate(circuits, start=1):
        yield _at(f"circuit/C{number}/soak", "heat", "even", by_id[tiles[0]], tiles)


def _at(place: str, kind: str, expect: str, first: PlacedTile, tiles: Sequence[str]) -> Check:
    return Check(place, kind, expect, tuple(tiles), first.column, first.row)
