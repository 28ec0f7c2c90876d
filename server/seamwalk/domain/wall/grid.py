"""Tiles on the grid: the default full grid, or placements of mixed sizes with openings."""

from dataclasses import dataclass

from seamwalk.domain.wall.plan_model import Placement, Plan, TileType
from seamwalk.errors import Problem

Cell = tuple[int, int]
# problems after which nobody reads on
_ENOUGH = 100


@dataclass(frozen=True)
class PlacedTile:
    """One tile in its place; column and row of its lower-left cell, size in cells."""

    column: int
    row: int
    w: int
    h: int
    type: TileType

    @property
    def id(self) -> str:
        """The tile's id in its wall: `3.2`, or `3.2x1x2` when it is not one cell."""
        size = "" if self.w == self.h == 1 else f"x{self.w}x{self.h}"
        return f"{self.column}.{self.row}{size}"

    def cells(self) -> list[Cell]:
        """Every cell that the tile covers."""
        columns = range(self.column, self.column + self.w)
        return [(column, row) for column in columns for row in range(self.row, self.row + self.h)]


def cell_size_mm(plan: Plan) -> tuple[float, float]:
    """Width and height of a grid cell: those of the smallest tile, or of a corner tile's shorter leg."""
    types = plan.tile_types().values()
    legs = [leg for t in types if (c := t.corner) for leg in (c.left_mm, t.width_mm - c.left_mm) if leg > 0]
    return min([t.width_mm for t in types] + legs), min(t.height_mm for t in types)


def size_in_cells(plan: Plan, tile: TileType) -> tuple[int, int]:
    """Width and height of a tile type in cells."""
    cell_w, cell_h = cell_size_mm(plan)
    return round(tile.width_mm / cell_w), round(tile.height_mm / cell_h)


def place_tiles(plan: Plan) -> tuple[tuple[PlacedTile, ...], list[Problem]]:
    """Put every tile on the grid; return the tiles by column and row, and what is wrong by path."""
    if plan.placements is None:
        return _full_grid(plan)
    types = plan.tile_types()
    taken: dict[Cell, str] = {}
    tiles: list[PlacedTile] = []
    problems: list[Problem] = []
    for index, placement in enumerate(plan.placements):
        path = f"placements[{index}]"
        tile_type = types.get(placement.tile)
        if tile_type is None:
            remedy = f"Use one of: {', '.join(types)}."
            problems.append(
                Problem(f"{path}.tile", f"{placement.tile} is not a tile type of this plan", remedy)
            )
            continue
        tile = PlacedTile(placement.column, placement.row, placement.w, placement.h, tile_type)
        found = _placement_problems(plan, path, placement, tile, taken)
        problems.extend(found)
        if len(problems) >= _ENOUGH:
            break
        if not found:
            taken.update(dict.fromkeys(tile.cells(), f"tile {tile.id} (placements[{index}])"))
            tiles.append(tile)
    if not tiles and not problems:
        problems.append(Problem("placements", "no tile is placed", "Place a tile, or leave placements out."))
    return tuple(sorted(tiles, key=lambda t: (t.column, t.row))), problems


def _full_grid(plan: Plan) -> tuple[tuple[PlacedTile, ...], list[Problem]]:
    w, h = size_in_cells(plan, plan.tile)
    problems = []
    for name, count, size in (("columns", plan.columns, w), ("rows", plan.rows, h)):
        if count % size:
            message = f"{count} cannot be filled with tiles of {size} cells"
            problems.append(Problem(name, message, "List the placements, or change the grid."))
    if problems:
        return (), problems
    tiles = [
        PlacedTile(column, row, w, h, plan.tile)
        for column in range(1, plan.columns + 1, w)
        for row in range(1, plan.rows + 1, h)
    ]
    return tuple(tiles), []


def _placement_problems(
    plan: Plan, path: str, placement: Placement, tile: PlacedTile, taken: dict[Cell, str]
) -> list[Problem]:
    for name, given, real in zip(
        "wh", (placement.w, placement.h), size_in_cells(plan, tile.type), strict=True
    ):
        if given != real:
            message = f"{given}, but a {tile.type.key} is {real} cells"
            return [Problem(f"{path}.{name}", message, f"Give {real}.")]
    if tile.column + tile.w - 1 > plan.columns or tile.row + tile.h - 1 > plan.rows:
        message = f"tile {tile.id} reaches outside the grid of {plan.columns} x {plan.rows}"
        return [Problem(path, message, "Move it, or make the grid larger.")]
    for cell in tile.cells():
        if cell in taken:
            message = f"tile {tile.id} lies on {taken[cell]}"
            return [Problem(path, message, "Move one of the two.")]
    return []
