"""What is wrong with a plan whose fields are right each by itself, every problem by path."""

from collections.abc import Iterator
from itertools import pairwise
from math import ceil
from typing import Any

from seamwalk.domain.wall.grid import PlacedTile, cell_size_mm, place_tiles
from seamwalk.domain.wall.plan_bends import bend_problems
from seamwalk.domain.wall.plan_model import Plan, TileType
from seamwalk.errors import Problem

_TILE_REFERENCE = (
    "max_bend_deg",
    "max_stack_rows",
    "max_hang_rows",
    "max_free_rows",
    "gap_max_mm",
    "flush_max_mm",
)
_HARDWARE_REFERENCE = ("foot_rated_kg", "level_max_mm", "ballast_kg", "floor_limit_kpa", "friction")
_PLAN_REFERENCE = ("clamp_rows", "support_columns")
_REFERENCE_REMEDY = "Name the maker's manual or the competent person it comes from in `reference`."


def plan_problems(plan: Plan) -> Iterator[Problem]:
    """Find everything that keeps a plan from being built."""
    yield from _reference_problems(plan)
    yield from _key_problems(plan)
    if len(plan.bends_deg) not in (0, plan.columns - 1):
        message = f"{len(plan.bends_deg)} angles where {plan.columns - 1} are needed"
        yield Problem("bends_deg", message, "Give one angle for each seam between columns, or none.")
        return
    for name, limit in (("clamp_rows", plan.rows), ("support_columns", plan.columns)):
        for index, number in enumerate(getattr(plan, name) or ()):
            if number > limit:
                yield Problem(f"{name}[{index}]", f"{number} is outside the grid", f"Use 1 to {limit}.")
    tiles, problems = place_tiles(plan)
    yield from problems
    if not problems:
        yield from _family_problems(plan, tiles)
        yield from _row_problems(plan, tiles)
        yield from bend_problems(plan, tiles)
        yield from _hang_problems(plan)
        yield from _stock_problems(plan)
        yield from _climate_problems(plan)
        yield from _wind_problems(plan)


def _reference_problems(plan: Plan) -> Iterator[Problem]:
    owners: list[tuple[str, Any, tuple[str, ...]]] = [
        ("tile.", plan.tile, _TILE_REFERENCE),
        *((f"tiles[{index}].", tile, _TILE_REFERENCE) for index, tile in enumerate(plan.tiles)),
        ("hardware.", plan.hardware, _HARDWARE_REFERENCE),
        ("floor_level.", plan.floor_level, ("shim_max_mm",)),
        ("climate.", plan.climate, ("margin_k",)),
        ("", plan, _PLAN_REFERENCE),
    ]
    for prefix, owner, fields in owners:
        given = [field for field in fields if getattr(owner, field, None) is not None]
        if given and owner.reference is None:
            yield Problem(f"{prefix}reference", f"is missing, though {given[0]} is given", _REFERENCE_REMEDY)


def _key_problems(plan: Plan) -> Iterator[Problem]:
    seen = {plan.tile.key}
    for index, tile in enumerate(plan.tiles):
        if tile.key in seen:
            yield Problem(
                f"tiles[{index}].key", f"{tile.key} is there twice", "Give each tile type its own key."
            )
        seen.add(tile.key)
    cell_w, cell_h = cell_size_mm(plan)
    for tile in plan.tile_types().values():
        sizes = [("width_mm", tile.width_mm, cell_w), ("height_mm", tile.height_mm, cell_h)]
        if tile.corner is not None:
            sizes.append(("corner.left_mm", tile.corner.left_mm, cell_w))
            yield from _corner_tile_problems(_path(plan, tile), tile)
        for name, size, cell in sizes:
            if abs(size / cell - round(size / cell)) > 1e-6:
                message = f"{size:g} is not a multiple of the smallest tile's {cell:g}"
                yield Problem(f"{_path(plan, tile)}.{name}", message, "Tiles of one wall fit one grid.")


def _corner_tile_problems(path: str, tile: TileType) -> Iterator[Problem]:
    """Bars end at a corner: which of its locks are on which leg must be known."""
    if tile.corner is not None and tile.corner.left_mm >= tile.width_mm:
        message = f"{tile.corner.left_mm:g} leaves nothing of the width {tile.width_mm:g}"
        yield Problem(f"{path}.corner.left_mm", message, "width_mm is both legs together.")
    if tile.locks_stack and not (tile.lock_positions_mm and tile.lock_positions_mm.stack):
        message = f"is missing, though {tile.key} turns a corner and has locks_stack"
        remedy = "Say where its locks sit, from its left end."
        yield Problem(f"{path}.lock_positions_mm.stack", message, remedy)


def _path(plan: Plan, tile: TileType) -> str:
    return "tile" if tile is plan.tile else f"tiles[{plan.tiles.index(tile)}]"


def _family_problems(plan: Plan, tiles: tuple[PlacedTile, ...]) -> Iterator[Problem]:
    """Locks and bars of two hardware families do not fit each other, however alike they look."""
    families = {plan.hardware.hardware_family} if plan.hardware.hardware_family else set()
    for tile in {tile.type.key: tile.type for tile in tiles}.values():
        if tile.hardware_family is not None:
            if families - {tile.hardware_family}:
                message = f"{tile.hardware_family} would meet {' and '.join(sorted(families))} in one wall"
                remedy = "Use tiles and bars of one hardware family."
                yield Problem(f"{_path(plan, tile)}.hardware_family", message, remedy)
            families.add(tile.hardware_family)


def _row_problems(plan: Plan, tiles: tuple[PlacedTile, ...]) -> Iterator[Problem]:
    """The makers' limits, counted in rows of each tile's own height."""
    _, cell_h = cell_size_mm(plan)
    for tile in {tile.type.key: tile.type for tile in tiles}.values():
        rows = ceil(plan.rows * cell_h / tile.height_mm - 1e-6)
        if plan.support == "flown":
            limits = [(tile.max_hang_rows, "hanging", "Hang fewer rows")]
        else:
            limits = [(tile.max_stack_rows, "stacked", "Stack fewer rows")]
            if not plan.support_columns:
                free = (tile.max_free_rows, "without rear supports", "Give support_columns, stack fewer rows")
                limits.append(free)
        for limit, how, remedy in limits:
            if limit is not None and rows > limit:
                message = f"{rows} rows of {tile.key} are over its limit of {limit} {how}"
                yield Problem("rows", message, f"{remedy}, or use another tile.")


def _hang_problems(plan: Plan) -> Iterator[Problem]:
    if plan.hang is None:
        return
    if plan.support != "flown":
        yield Problem("hang", f"a {plan.support} wall does not hang", "Take it out, or set support to flown.")
    for index, (left, right) in enumerate(pairwise(plan.hang.points_mm)):
        if right <= left:
            message = f"{right:g} does not come after {left:g}"
            remedy = "Give the points from the audience's left, each once."
            yield Problem(f"hang.points_mm[{index + 1}]", message, remedy)
    for name in ("rated_kg", "measured_kg"):
        values = getattr(plan.hang, name)
        if values is not None and len(values) != len(plan.hang.points_mm):
            message = f"{len(values)} values for {len(plan.hang.points_mm)} points"
            yield Problem(f"hang.{name}", message, "Give one for each point.")


def _wind_problems(plan: Plan) -> Iterator[Problem]:
    for index, (lower, higher) in enumerate(pairwise(plan.wind.limits if plan.wind else ())):
        if higher.gust_m_s <= lower.gust_m_s:
            message = f"{higher.gust_m_s:g} m/s does not come after {lower.gust_m_s:g}"
            yield Problem(f"wind.limits[{index + 1}].gust_m_s", message, "Give rising gusts, each once.")


def _stock_problems(plan: Plan) -> Iterator[Problem]:
    seen: set[str] = set()
    for index, case in enumerate(plan.stock.cases if plan.stock else ()):
        path = f"stock.cases[{index}]"
        if case.tile not in plan.tile_types():
            remedy = f"Use one of: {', '.join(plan.tile_types())}."
            yield Problem(f"{path}.tile", f"{case.tile} is not a tile type of this plan", remedy)
        if case.case in seen:
            yield Problem(f"{path}.case", f"{case.case} is there twice", "Give each case once.")
        seen.add(case.case)


def _climate_problems(plan: Plan) -> Iterator[Problem]:
    readings = plan.climate.surface if plan.climate else []
    for index, (before, after) in enumerate(pairwise(readings), start=1):
        if after.minutes <= before.minutes:
            message = f"{after.minutes:g} does not come after {before.minutes:g}"
            yield Problem(f"climate.surface[{index}].minutes", message, "Give the readings in their order.")
