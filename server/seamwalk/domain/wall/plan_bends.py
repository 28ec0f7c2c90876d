"""What may bend: seams between tiles within their limits, and tiles that turn a corner themselves."""

from collections.abc import Iterator

from seamwalk.domain.wall.grid import PlacedTile, cell_size_mm
from seamwalk.domain.wall.plan_model import Plan, TileType
from seamwalk.errors import Problem


def bend_problems(plan: Plan, tiles: tuple[PlacedTile, ...]) -> Iterator[Problem]:
    """Find bends that no tile there can make, and corner tiles where the wall does not turn."""
    yield from _corner_problems(plan, tiles)
    for index, bend in enumerate(plan.bends_deg):
        if bend == 0:
            continue
        path, seam = f"bends_deg[{index}]", index + 1
        for tile in tiles:
            if tile.column <= seam <= tile.column + tile.w - 2 and corner_seam(plan, tile) != seam:
                yield Problem(
                    path, f"tile {tile.id} is rigid and spans this seam", "Bend at its edge instead."
                )
        at_seam = {t.type.key: t.type for t in tiles if t.column == seam + 1 or t.column + t.w - 1 == seam}
        for tile_type in at_seam.values():
            yield from _limit_problem(path, bend, tile_type)


def corner_seam(plan: Plan, tile: PlacedTile) -> int | None:
    """The seam at which a corner tile turns, None for a flat one."""
    if tile.type.corner is None:
        return None
    cell_w, _ = cell_size_mm(plan)
    return tile.column - 1 + round(tile.type.corner.left_mm / cell_w)


def _corner_problems(plan: Plan, tiles: tuple[PlacedTile, ...]) -> Iterator[Problem]:
    for tile in tiles:
        corner, seam = tile.type.corner, corner_seam(plan, tile)
        if corner is None or seam is None:
            continue
        bend = plan.bends_deg[seam - 1] if plan.bends_deg else 0.0
        if bend != corner.turn_deg:
            message = f"{bend:g}, but corner tile {tile.id} turns {corner.turn_deg:g} there"
            yield Problem(f"bends_deg[{seam - 1}]", message, f"Give {corner.turn_deg:g}.")


def _limit_problem(path: str, bend: float, tile: TileType) -> Iterator[Problem]:
    if tile.max_bend_deg is None:
        yield Problem(
            path, f"tile {tile.key} gives no max_bend_deg", "Give the maker's limit, with its reference."
        )
    elif abs(bend) > tile.max_bend_deg:
        message = f"{bend:g} is over the tile's limit of {tile.max_bend_deg:g}"
        yield Problem(path, message, "Spread the turn over more seams, or use another tile.")
