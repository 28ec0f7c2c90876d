"""Plan -> wall: tiles, bars, and every edge of every tile as a joint or as a free edge."""

from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from seamwalk.domain.wall.bars import Bar, bar_line, lay_bars
from seamwalk.domain.wall.grid import Cell, PlacedTile, place_tiles
from seamwalk.domain.wall.plan_model import Plan
from seamwalk.errors import PlanError, Problem

Edge = Literal["left", "right", "top", "bottom"]
JointKind = Literal["side", "stack", "base", "hang"]
_STEP: dict[Edge, Cell] = {"left": (-1, 0), "right": (1, 0), "top": (0, 1), "bottom": (0, -1)}


@dataclass(frozen=True)
class Joint:
    """Where a tile meets a tile or a bar: one shared edge, `cells` long, starting at column, row."""

    kind: JointKind
    first: str
    second: str
    tiles: tuple[str, ...]
    column: int
    row: int
    cells: int

    @property
    def place(self) -> str:
        """The joint's place: `side/3.2/4.2`, `base/b1/3.1`."""
        return f"{self.kind}/{self.first}/{self.second}"


@dataclass(frozen=True)
class FreeEdge:
    """A part of a tile's edge that is no joint; `start` counts cells along the edge from 1."""

    tile: str
    edge: Edge
    start: int
    cells: int
    whole: bool
    column: int
    row: int

    def cell_numbers(self) -> range:
        """The free cells, counted along the tile's edge from 1."""
        return range(self.start, self.start + self.cells)

    @property
    def place(self) -> str:
        """The edge's place: `free/3.2/top`, with `/from-to` in cells when only a part is free."""
        part = "" if self.whole else f"/{self.start}-{self.start + self.cells - 1}"
        return f"free/{self.tile}/{self.edge}{part}"


@dataclass(frozen=True)
class Wall:
    """A wall as it is built: everything that checks and drawings are made from."""

    plan: Plan
    tiles: tuple[PlacedTile, ...]
    bars: tuple[Bar, ...]
    joints: tuple[Joint, ...]
    free_edges: tuple[FreeEdge, ...]
    warnings: tuple[str, ...]

    def by_cell(self) -> dict[Cell, PlacedTile]:
        """The tile that covers each cell."""
        return {cell: tile for tile in self.tiles for cell in tile.cells()}

    def by_id(self) -> dict[str, PlacedTile]:
        """The tiles by id."""
        return {tile.id: tile for tile in self.tiles}


def build_wall(plan: Plan) -> Wall:
    """Work out a wall; raise PlanError when a tile floats, joined to nothing that carries it."""
    tiles, problems = place_tiles(plan)
    if problems:
        raise PlanError(tuple(problems))
    grid = {cell: tile for tile in tiles for cell in tile.cells()}
    bars = lay_bars(plan, grid)
    joints = (*_tile_joints(tiles, grid), *_bar_joints(plan, bars, grid))
    _refuse_floating(tiles, joints)
    free = tuple(edge for tile in tiles for edge in _free_edges(plan, tile, grid))
    return Wall(plan, tiles, bars, joints, free, tuple(_warnings(plan, tiles, grid)))


def _tile_joints(tiles: tuple[PlacedTile, ...], grid: dict[Cell, PlacedTile]) -> Iterator[Joint]:
    for tile in tiles:
        for kind, edge in (("side", "right"), ("stack", "top")):
            for run in _neighbour_runs(tile, edge, grid):  # type: ignore[arg-type]
                other = run.other
                if other is not None:
                    pair = (tile.id, other.id)
                    yield Joint(kind, *pair, pair, run.column, run.row, run.cells)  # type: ignore[arg-type]


@dataclass(frozen=True)
class _Run:
    """Neighbouring cells along one edge of a tile that meet the same tile, or nothing."""

    other: PlacedTile | None
    start: int
    column: int
    row: int
    cells: int


def _neighbour_runs(tile: PlacedTile, edge: Edge, grid: dict[Cell, PlacedTile]) -> Iterator[_Run]:
    """The runs along a tile's edge, from the bottom or from the left."""
    dx, dy = _STEP[edge]
    cells = edge_cells(tile, edge)
    outside = [(grid.get((column + dx, row + dy)), column, row) for column, row in cells]
    start = 1
    for other, group in groupby(outside, key=lambda item: item[0]):
        run = list(group)
        yield _Run(other, start, run[0][1], run[0][2], len(run))
        start += len(run)


def edge_cells(tile: PlacedTile, edge: Edge) -> list[Cell]:
    """The tile's own cells along one edge, from the bottom or from the left."""
    last_column, last_row = tile.column + tile.w - 1, tile.row + tile.h - 1
    if edge in ("left", "right"):
        column = tile.column if edge == "left" else last_column
        return [(column, row) for row in range(tile.row, last_row + 1)]
    row = tile.row if edge == "bottom" else last_row
    return [(column, row) for column in range(tile.column, last_column + 1)]


def _bar_joints(plan: Plan, bars: tuple[Bar, ...], grid: dict[Cell, PlacedTile]) -> Iterator[Joint]:
    """One joint for each tile on each bar, over the cells that the two share."""
    kind: JointKind = "hang" if plan.support == "flown" else "base"
    row = bar_line(plan)[1]
    for bar in bars:
        columns = range(bar.column, bar.column + bar.columns)
        for tile, run in groupby(columns, key=lambda column: grid[column, row]):
            own = list(run)
            yield Joint(kind, bar.id, tile.id, (tile.id,), own[0], row, len(own))


def _free_edges(plan: Plan, tile: PlacedTile, grid: dict[Cell, PlacedTile]) -> Iterator[FreeEdge]:
    """The parts of a tile's edges that meet neither a tile nor a bar."""
    bar_row = bar_line(plan)[1]
    bar_edge: Edge = "top" if plan.support == "flown" else "bottom"
    edges: tuple[Edge, ...] = ("left", "top", "right", "bottom")
    for edge in edges:
        if edge == bar_edge and edge_cells(tile, edge)[0][1] == bar_row:
            continue
        length = len(edge_cells(tile, edge))
        for run in _neighbour_runs(tile, edge, grid):
            if run.other is None:
                whole = run.cells == length
                yield FreeEdge(tile.id, edge, run.start, run.cells, whole, run.column, run.row)


def _refuse_floating(tiles: tuple[PlacedTile, ...], joints: tuple[Joint, ...]) -> None:
    """Raise PlanError for tiles that no chain of joints connects to a bar (breadth-first from the bars)."""
    neighbours: dict[str, list[str]] = defaultdict(list)
    for joint in joints:
        neighbours[joint.first].append(joint.second)
        neighbours[joint.second].append(joint.first)
    waiting = deque(joint.first for joint in joints if joint.kind in ("base", "hang"))
    reached = set(waiting)
    while waiting:
        for other in neighbours[waiting.popleft()]:
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    floating = [tile.id for tile in tiles if tile.id not in reached]
    if floating:
        message = f"tile {', '.join(floating[:5])} floats: no joint leads from it to a bar or the floor"
        raise PlanError((Problem("placements", message, "Place a tile between, or take it out."),))


def _warnings(plan: Plan, tiles: tuple[PlacedTile, ...], grid: dict[Cell, PlacedTile]) -> Iterator[str]:
    if plan.opening_reference is None:
        dy, row, what = (1, plan.rows, "hangs from") if plan.support == "flown" else (-1, 1, "rests on")
        edge: Edge = "top" if plan.support == "flown" else "bottom"
        for tile in tiles:
            cells = edge_cells(tile, edge)
            if cells[0][1] != row and not any((column, r + dy) in grid for column, r in cells):
                yield f"tile {tile.id} {what} nothing: a lintel or an engineer's reference is needed"
    if plan.clamp_rows is not None and plan.rows not in plan.clamp_rows:
        yield f"row {plan.rows}, the top row, has no rear clamp"
    for column in (1, plan.columns):
        if plan.support_columns is not None and column not in plan.support_columns:
            yield f"column {column}, an end column, has no rear support"
    yield from _opening_warnings(plan, grid)


def _opening_warnings(plan: Plan, grid: dict[Cell, PlacedTile]) -> Iterator[str]:
    if plan.support_columns is None:
        return
    for column in range(1, plan.columns + 1):
        if column in plan.support_columns or not any((column, r) in grid for r in range(1, plan.rows + 1)):
            continue
        sides = [c for c in (column - 1, column + 1) if 1 <= c <= plan.columns]
        rows = [r for r in range(1, plan.rows + 1) if (column, r) in grid]
        if any((side, row) not in grid for side in sides for row in rows):
            yield f"column {column}, at the edge of an opening, has no rear support"
