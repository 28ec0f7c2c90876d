"""In which order a wall goes up and comes down, so that nothing is asked for that nothing carries.

Standing walls grow row by row, so that columns stay within one row of each other; hanging walls are built at
working height, top row first, and go up a row at a time. Each row is walked in the direction that keeps the
whole way shortest, never longer than every row from the audience's left.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import groupby
from math import ceil
from typing import Literal

from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.wall import Joint, Wall

Act = Literal["tile", "support", "clamp", "lift"]


@dataclass(frozen=True)
class BuildAct:
    """One act of the build: a tile goes on, a support or a clamp is set, the hanging wall goes up.

    `place` is the tile's id, the support's `column`, the clamp's `column.row`, or the lift's number from 1.
    """

    act: Act
    place: str
    column: int
    row: int


def build_order(wall: Wall) -> list[PlacedTile]:
    """The order in which tiles go on: each on what carries it, joined to what hangs or stands already.

    A tile that no other tile carries waits for a neighbour; where its carriers themselves wait for it, it
    goes on first.
    """
    return [tile for row in build_rows(wall) for tile in row]


def build_rows(wall: Wall) -> list[list[PlacedTile]]:
    """The order in which tiles go on, row by row: each is finished before the next, or before a lift."""
    level = _flown_level if wall.plan.support == "flown" else _stacked_level
    return _directed(wall, [list(row) for _, row in groupby(_plain_order(wall), key=level)])


def row_of(wall: Wall, tile: PlacedTile) -> int:
    """The row that a tile was built in: where it stands, or in a hanging wall where it hangs."""
    return tile.row + tile.h - 1 if wall.plan.support == "flown" else tile.row


def build_acts(wall: Wall) -> list[BuildAct]:
    """The whole build in order: supports before the row that needs them, clamps when their row stands.

    How many rows may stand without supports is the maker's figure; where it is missing, supports come before
    the second row.
    """
    return list(_flown_acts(wall) if wall.plan.support == "flown" else _standing_acts(wall))


def strike_acts(built: Sequence[BuildAct]) -> list[BuildAct]:
    """The wall taken down: top row first, a clamp with its tile, a support when no row needs it any more.

    A hanging wall is lowered until its bottom row is at working height; the bars come last.
    """
    return list(reversed(built))


def needs_supports(tile: PlacedTile) -> bool:
    """Whether a tile may go on only when the rear supports stand."""
    free_rows = tile.type.max_free_rows or 1
    return ceil((tile.row + tile.h - 1) / tile.h) > free_rows


def carriers(wall: Wall) -> dict[str, list[str]]:
    """Which tiles carry each tile: those below it, or above it in a hanging wall."""
    flown = wall.plan.support == "flown"
    found: dict[str, list[str]] = defaultdict(list)
    for joint in wall.joints:
        if joint.kind == "stack":
            carried, carrier = (joint.first, joint.second) if flown else (joint.second, joint.first)
            found[carried].append(carrier)
    return found


def _standing_acts(wall: Wall) -> Iterator[BuildAct]:
    plan = wall.plan
    supports = [BuildAct("support", str(c), c, 1) for c in sorted(set(plan.support_columns or ()))]
    clamps, standing = _clamps(wall), set[str]()

    def hold() -> Iterator[BuildAct]:
        for clamp in [clamp for clamp, tile_id in clamps.items() if tile_id in standing]:
            del clamps[clamp]
            yield clamp

    for _, row in groupby(build_order(wall), key=_stacked_level):
        for tile in row:
            if supports and needs_supports(tile):
                yield from supports
                supports = []
                yield from hold()
            yield BuildAct("tile", tile.id, tile.column, tile.row)
            standing.add(tile.id)
        if not supports:
            yield from hold()
    yield from supports
    yield from hold()


def _clamps(wall: Wall) -> dict[BuildAct, str]:
    """Each clamp with the tile that it holds, rows from the bottom."""
    grid, plan = wall.by_cell(), wall.plan
    return {
        BuildAct("clamp", f"{column}.{row}", column, row): grid[column, row].id
        for row in sorted(set(plan.clamp_rows or ()))
        for column in sorted(set(plan.support_columns or ()))
        if (column, row) in grid
    }


def _flown_acts(wall: Wall) -> Iterator[BuildAct]:
    """All that is done at a hanging wall is done at working height, what is behind it too."""
    lifts = 0
    lowest: int | None = None
    clamps, standing, supported = _clamps(wall), set[str](), set[int]()

    def behind() -> Iterator[BuildAct]:
        for clamp in [clamp for clamp, tile_id in clamps.items() if tile_id in standing]:
            del clamps[clamp]
            if clamp.column not in supported:
                supported.add(clamp.column)
                yield BuildAct("support", str(clamp.column), clamp.column, clamp.row)
            yield clamp

    for tile in build_order(wall):
        top = tile.row + tile.h
        if lowest is not None and top < lowest:
            yield from behind()
            lifts += 1
            yield BuildAct("lift", str(lifts), 1, lowest - 1)
        lowest = top if lowest is None else min(lowest, top)
        yield BuildAct("tile", tile.id, tile.column, tile.row)
        standing.add(tile.id)
    yield from behind()
    bare = sorted({*(wall.plan.support_columns or ())} - supported)
    yield from (BuildAct("support", str(column), column, 1) for column in bare)
    yield BuildAct("lift", str(lifts + 1), 1, (lowest or 1) - 1)


def _stacked_level(tile: PlacedTile) -> int:
    return tile.row


def _flown_level(tile: PlacedTile) -> int:
    return -(tile.row + tile.h)


def _plain_order(wall: Wall) -> list[PlacedTile]:
    """Row by row from the audience's left, as far as each tile is carried and joined by then."""
    level = _flown_level if wall.plan.support == "flown" else _stacked_level
    carry, neighbours = carriers(wall), _neighbours(wall.joints)
    tiles = wall.by_id()
    placed: dict[str, PlacedTile] = {}

    def entry(tile_id: str) -> tuple[int, int, int, str]:
        tile = tiles[tile_id]
        return sum(c not in placed for c in carry[tile_id]), level(tile), tile.column, tile_id

    ready = [entry(tile_id) for tile_id in sorted(_on_bars(wall))]
    heapify(ready)
    while ready:
        missing, _, _, tile_id = heappop(ready)
        if tile_id in placed:
            continue
        now = entry(tile_id)
        if now[0] < missing:
            heappush(ready, now)
            continue
        placed[tile_id] = tiles[tile_id]
        for other in neighbours[tile_id]:
            if other not in placed:
                heappush(ready, entry(other))
    return list(placed.values())


def _on_bars(wall: Wall) -> set[str]:
    return {joint.second for joint in wall.joints if joint.kind in ("base", "hang")}


def _neighbours(joints: tuple[Joint, ...]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for joint in joints:
        if joint.kind in ("stack", "side"):
            found[joint.first].append(joint.second)
            found[joint.second].append(joint.first)
    return found


def _directed(wall: Wall, rows: list[list[PlacedTile]]) -> list[list[PlacedTile]]:
    """Walk each row forwards or, where that is allowed, backwards, so that the whole way is shortest."""
    best: list[tuple[int, list[list[PlacedTile]]]] = [(0, [])]
    for options in _options(wall, rows):
        best = [
            min(
                ((cost + _step(walked, option), [*walked, option]) for cost, walked in best),
                key=_shortest,
            )
            for option in options
        ]
    return min(best, key=_shortest)[1]


def _shortest(found: tuple[int, list[list[PlacedTile]]]) -> tuple[int, int]:
    """Of two ways that are equally long, the one that begins further left."""
    cost, rows = found
    return cost, rows[0][0].column


def _step(walked: list[list[PlacedTile]], row: list[PlacedTile]) -> int:
    return abs(walked[-1][-1].column - row[0].column) if walked else 0


def _options(wall: Wall, rows: list[list[PlacedTile]]) -> Iterator[list[list[PlacedTile]]]:
    carry, neighbours, on_bars = carriers(wall), _neighbours(wall.joints), _on_bars(wall)
    placed: set[str] = set()
    for row in rows:
        free = all(
            placed.issuperset(carry[tile.id])
            and (tile.id in on_bars or not placed.isdisjoint(neighbours[tile.id]))
            for tile in row
        )
        yield [row, row[::-1]] if free and len(row) > 1 else [row]
        placed.update(tile.id for tile in row)
