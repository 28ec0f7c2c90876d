"""Cables from tile to tile: a way through the wall from neighbour to neighbour, cut into runs."""

from collections import defaultdict
from collections.abc import Callable, Sequence

from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.wall import Wall

Run = tuple[PlacedTile, ...]


def cable_paths(wall: Wall) -> list[Run]:
    """Every tile once, up one column and down the next; a new stretch begins where no neighbour is left.

    On a full grid there is one stretch; openings may break it.
    """
    neighbours: dict[str, set[str]] = defaultdict(set)
    for joint in wall.joints:
        if joint.kind in ("side", "stack"):
            neighbours[joint.first].add(joint.second)
            neighbours[joint.second].add(joint.first)
    left = dict(wall.by_id())
    found: list[Run] = []
    while left:
        start = min(left.values(), key=lambda tile: (tile.column, tile.row))
        found.append(_walk(start, left, neighbours))
    return found


def _walk(start: PlacedTile, left: dict[str, PlacedTile], neighbours: dict[str, set[str]]) -> Run:
    path, upward = [left.pop(start.id)], True
    while True:
        here = path[-1]
        open_ones = [left[tile] for tile in neighbours[here.id] if tile in left]
        if not open_ones:
            return tuple(path)
        step = min(open_ones, key=lambda tile: _preference(here, tile, upward))
        upward = step.row > here.row if step.column == here.column else step.row <= start.row
        path.append(left.pop(step.id))


def _preference(here: PlacedTile, tile: PlacedTile, upward: bool) -> tuple[int, int, int]:
    """Least is best: on in the same direction, then back in the same column, then left, then right."""
    if tile.column == here.column:
        return (0 if (tile.row > here.row) == upward else 1, 0, tile.row)
    return (2 if tile.column < here.column else 3, tile.column, -tile.row if upward else tile.row)


def cut_into_runs(ways: Sequence[Run], fits: Callable[[Sequence[PlacedTile]], bool]) -> list[Run]:
    """Cut cable paths into runs, each as long as `fits` says (greedy); a single tile always makes a run."""
    runs: list[Run] = []
    for way in ways:
        run: list[PlacedTile] = []
        for tile in way:
            if run and not fits([*run, tile]):
                runs.append(tuple(run))
                run = []
            run.append(tile)
        runs.append(tuple(run))
    return runs
