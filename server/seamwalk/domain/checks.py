"""Joints -> checks: each thing that must be looked at, and what is expected there."""

from collections.abc import Iterator
from dataclasses import dataclass

from seamwalk.domain.grid import PlacedTile
from seamwalk.domain.wall import Edge, Joint, Wall

# kind -> (procedure that says how, whether an exception needs the competent person's name)
KINDS: dict[str, tuple[str, bool]] = {
    "condition": ("load_in", False),
    "level": ("setup", False),
    "edges": ("debris", False),
    "locks": ("lock", True),
    "guard": ("guard", False),
    "angle": ("setup", False),
    "clamp": ("setup", True),
    "support": ("setup", True),
    "picture": ("picture", False),
}
_CORNERS: tuple[tuple[str, Edge, Edge], ...] = (
    ("bottom_left", "bottom", "left"),
    ("bottom_right", "bottom", "right"),
    ("top_left", "top", "left"),
    ("top_right", "top", "right"),
)


@dataclass(frozen=True)
class Check:
    """One thing that must be looked at, at a place of a wall; `column` and `row` say where to stand."""

    place: str
    kind: str
    expect: str
    tiles: tuple[str, ...]
    column: int
    row: int

    def id(self, wall_key: str) -> str:
        """The check's id in a show: `A/side/3.2/4.2/locks:2`."""
        return f"{wall_key}/{self.place}/{self.kind}:{self.expect}"


def wall_checks(wall: Wall) -> tuple[Check, ...]:
    """Every check of a wall, each exactly once."""
    return (
        *_tile_checks(wall),
        *(Check(f"bar/{bar.id}", "level", "true", (), bar.column, 1) for bar in wall.bars),
        *_all_joint_checks(wall),
        *_guard_checks(wall),
        *_rear_checks(wall),
    )


def _tile_checks(wall: Wall) -> Iterator[Check]:
    for tile in wall.tiles:
        for kind, expect in (("condition", "sound"), ("picture", "clean")):
            yield Check(f"tile/{tile.id}", kind, expect, (tile.id,), tile.column, tile.row)


def _all_joint_checks(wall: Wall) -> Iterator[Check]:
    by_id = wall.by_id()
    for joint in wall.joints:
        yield from _joint_checks(wall, joint, [by_id[tile] for tile in joint.tiles])


def _joint_checks(wall: Wall, joint: Joint, tiles: list[PlacedTile]) -> Iterator[Check]:
    expected = [("edges", "clean")] if joint.kind in ("side", "stack") else []
    locks = _lock_count(joint, tiles)
    expected += [("locks", str(locks))] if locks else []
    expected += [("guard", "in")] if any(tile.type.guards == "edge" for tile in tiles) else []
    angle = _angle(wall, joint, tiles)
    expected += [("angle", angle)] if angle is not None else []
    for kind, expect in expected:
        yield Check(joint.place, kind, expect, joint.tiles, joint.column, joint.row)


def _lock_count(joint: Joint, tiles: list[PlacedTile]) -> int:
    if joint.kind == "side":
        return min(_locks_along(tile, joint, vertical=True) for tile in tiles)
    return min(_locks_along(tile, joint, vertical=False) for tile in tiles)


def _locks_along(tile: PlacedTile, joint: Joint, *, vertical: bool) -> int:
    whole = tile.h if vertical else tile.w
    count = tile.type.locks_side if vertical else tile.type.locks_stack
    positions = tile.type.lock_positions_mm
    at = (positions.side if vertical else positions.stack) if positions else []
    if joint.cells == whole or not at:
        return count
    length_mm = tile.type.height_mm if vertical else tile.type.width_mm
    start = (joint.row - tile.row) if vertical else (joint.column - tile.column)
    cell_mm = length_mm / whole
    return sum(start * cell_mm <= mm < (start + joint.cells) * cell_mm for mm in at)


def _angle(wall: Wall, joint: Joint, tiles: list[PlacedTile]) -> str | None:
    if joint.kind != "side":
        return None
    bend = wall.plan.bends_deg[joint.column - 1] if wall.plan.bends_deg else 0.0
    return f"{bend + 0:g}" if bend or any(tile.type.blocks_side for tile in tiles) else None


def _guard_checks(wall: Wall) -> Iterator[Check]:
    tiles = wall.by_id()
    for edge in wall.free_edges:
        if tiles[edge.tile].type.guards == "edge":
            yield Check(edge.place, "guard", "out", (edge.tile,), edge.column, edge.row)
    free = {(edge.tile, edge.edge, cell) for edge in wall.free_edges for cell in edge.cell_numbers()}
    for tile in wall.tiles:
        if tile.type.guards == "corner":
            for name, *edges in _CORNERS:
                out = all((tile.id, edge, _end_cell(tile, edge, name)) in free for edge in edges)
                place = f"corner/{tile.id}/{name}"
                yield Check(place, "guard", "out" if out else "in", (tile.id,), tile.column, tile.row)


def _end_cell(tile: PlacedTile, edge: Edge, corner: str) -> int:
    if edge in ("left", "right"):
        return tile.h if corner.startswith("top") else 1
    return tile.w if corner.endswith("right") else 1


def _rear_checks(wall: Wall) -> Iterator[Check]:
    grid = wall.by_cell()
    for column in sorted(set(wall.plan.support_columns or ())):
        yield Check(f"support/{column}", "support", "set", (), column, 1)
        for row in sorted(set(wall.plan.clamp_rows or ())):
            tile = grid.get((column, row))
            if tile is not None:
                yield Check(f"clamp/{column}.{row}", "clamp", "set", (tile.id,), column, row)
