"""Read a plan, refusing what can not be built, every problem by path."""

import json
from collections.abc import Iterator
from itertools import pairwise
from math import ceil
from typing import Any

from pydantic import ValidationError

from seamwalk.domain.grid import PlacedTile, cell_size_mm, place_tiles
from seamwalk.domain.plan_model import Plan, TileType
from seamwalk.errors import PlanError, Problem

_TILE_REFERENCE = ("max_bend_deg", "max_stack_rows", "max_hang_rows", "max_free_rows")
_HARDWARE_REFERENCE = ("ballast_kg", "floor_limit_kpa", "friction")
_PLAN_REFERENCE = ("clamp_rows", "support_columns")
_REFERENCE_REMEDY = "Name the maker's manual or the competent person it comes from in `reference`."


def parse_plan(source: str | dict[str, Any]) -> Plan:
    """Read a plan from JSON text or a dict; raise PlanError naming every problem by path."""
    data = load_plan(source) if isinstance(source, str) else source
    try:
        plan = Plan.model_validate(data)
    except ValidationError as error:
        raise PlanError(tuple(_problem(item) for item in error.errors())) from error
    problems = tuple(_problems(plan))
    if problems:
        raise PlanError(problems)
    return plan


def plan_json_schema() -> dict[str, Any]:
    """The plan's JSON Schema."""
    return Plan.model_json_schema()


def load_plan(text: str) -> dict[str, Any]:
    """Read JSON text; raise PlanError when it is no JSON object."""
    try:
        data = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        problem = Problem("plan", f"not JSON: {error}", "Mend the JSON text at that place.")
        raise PlanError((problem,)) from error
    if not isinstance(data, dict):
        raise PlanError((Problem("plan", "is no JSON object", "Write it as { ... }, one field each."),))
    return data


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is no number")


def _problem(item: Any) -> Problem:
    path = ""
    for part in item["loc"]:
        path += f"[{part}]" if isinstance(part, int) else f".{part}" if path else str(part)
    if item["type"] == "extra_forbidden":
        return Problem(path, "is not a field of a plan", "Take it out, or mend its spelling.")
    if item["type"] == "missing":
        return Problem(path, "is missing", "Give it: it has no default.")
    value = item["input"]
    shown = f"{value!r}: " if isinstance(value, int | float | str) and len(repr(value)) < 60 else ""
    return Problem(path or "plan", f"{shown}{item['msg']}", "Give a value inside these limits.")


def _problems(plan: Plan) -> Iterator[Problem]:
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
        yield from _bend_problems(plan, tiles)
        yield from _hang_problems(plan)


def _reference_problems(plan: Plan) -> Iterator[Problem]:
    owners: list[tuple[str, Any, tuple[str, ...]]] = [
        ("tile.", plan.tile, _TILE_REFERENCE),
        *((f"tiles[{index}].", tile, _TILE_REFERENCE) for index, tile in enumerate(plan.tiles)),
        ("hardware.", plan.hardware, _HARDWARE_REFERENCE),
        ("", plan, _PLAN_REFERENCE),
    ]
    for prefix, owner, fields in owners:
        given = [field for field in fields if getattr(owner, field) is not None]
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
        for name, size, cell in (("width_mm", tile.width_mm, cell_w), ("height_mm", tile.height_mm, cell_h)):
            if abs(size / cell - round(size / cell)) > 1e-6:
                message = f"{size:g} is no multiple of the smallest tile's {cell:g}"
                yield Problem(f"{_path(plan, tile)}.{name}", message, "Tiles of one wall fit one grid.")


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


def _bend_problems(plan: Plan, tiles: tuple[PlacedTile, ...]) -> Iterator[Problem]:
    for index, bend in enumerate(plan.bends_deg):
        if bend == 0:
            continue
        path, seam = f"bends_deg[{index}]", index + 1
        for tile in tiles:
            if tile.column <= seam <= tile.column + tile.w - 2:
                yield Problem(
                    path, f"tile {tile.id} is rigid and spans this seam", "Bend at its edge instead."
                )
        at_seam = {t.type.key: t.type for t in tiles if t.column == seam + 1 or t.column + t.w - 1 == seam}
        for tile_type in at_seam.values():
            yield from _limit_problem(path, bend, tile_type)


def _limit_problem(path: str, bend: float, tile: TileType) -> Iterator[Problem]:
    if tile.max_bend_deg is None:
        yield Problem(
            path, f"tile {tile.key} gives no max_bend_deg", "Give the maker's limit, with its reference."
        )
    elif abs(bend) > tile.max_bend_deg:
        message = f"{bend:g} is over the tile's limit of {tile.max_bend_deg:g}"
        yield Problem(path, message, "Spread the turn over more seams, or use another tile.")


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
