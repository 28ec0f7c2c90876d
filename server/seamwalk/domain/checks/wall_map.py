"""The wall's map, in cells, for drawings: where each tile and each place of a check is."""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.wall.wall import Wall


@dataclass(frozen=True)
class Box:
    """A tile's rectangle: x from the left, y from the top, in cells."""

    id: str
    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True)
class Spot:
    """The middle of a place where checks are, in cells, x from the left and y from the top."""

    place: str
    x: float
    y: float


@dataclass(frozen=True)
class WallMap:
    """A wall as it is drawn from the audience's side; mirror x for the rear view."""

    columns: int
    rows: int
    boxes: tuple[Box, ...]
    spots: tuple[Spot, ...]


def wall_map(wall: Wall, checks: Sequence[Check]) -> WallMap:
    """Lay out a wall's tiles and the places of its checks."""
    rows = wall.plan.rows
    boxes = tuple(Box(t.id, t.column - 1, rows - (t.row - 1) - t.h, t.w, t.h) for t in wall.tiles)
    at = {**_joint_spots(wall), **_edge_spots(wall), **_tile_spots(boxes, checks)}
    places = dict.fromkeys(check.place for check in checks)
    return WallMap(wall.plan.columns, rows, boxes, tuple(Spot(p, *at[p]) for p in places if p in at))


def _joint_spots(wall: Wall) -> dict[str, tuple[float, float]]:
    rows = wall.plan.rows
    spots = {}
    for joint in wall.joints:
        column, row, half = joint.column, joint.row, joint.cells / 2
        spots[joint.place] = {
            "side": (column, rows - (row - 1) - half),
            "stack": (column - 1 + half, rows - row),
            "base": (column - 1 + half, rows),
            "hang": (column - 1 + half, 0),
        }[joint.kind]
    for bar in wall.bars:
        spots[f"bar/{bar.id}"] = (
            bar.column - 1 + bar.columns / 2,
            -0.35 if bar.id[0] == "h" else rows + 0.35,
        )
    return spots


def _edge_spots(wall: Wall) -> dict[str, tuple[float, float]]:
    rows = wall.plan.rows
    spots = {}
    for edge in wall.free_edges:
        column, row, half = edge.column, edge.row, edge.cells / 2
        spots[edge.place] = {
            "left": (column - 1, rows - (row - 1) - half),
            "right": (column, rows - (row - 1) - half),
            "top": (column - 1 + half, rows - row),
            "bottom": (column - 1 + half, rows - (row - 1)),
        }[edge.edge]
    return spots


def _tile_spots(boxes: tuple[Box, ...], checks: Sequence[Check]) -> dict[str, tuple[float, float]]:
    by_id = {box.id: box for box in boxes}
    rows = max((box.y + box.h for box in boxes), default=0)
    spots: dict[str, tuple[float, float]] = {}
    for check in checks:
        kind, _, rest = check.place.partition("/")
        if kind == "tile":
            box = by_id[rest]
            spots[check.place] = (box.x + box.w / 2, box.y + box.h / 2)
        elif kind == "corner":
            box, name = by_id[check.tiles[0]], rest.partition("/")[2]
            inset = 0.12
            x = box.x + (inset if name.endswith("left") else box.w - inset)
            spots[check.place] = (x, box.y + (inset if name.startswith("top") else box.h - inset))
        elif kind == "clamp":
            spots[check.place] = (check.column - 0.25, rows - check.row + 0.25)
        elif kind == "support":
            spots[check.place] = (check.column - 0.25, rows + 0.35)
    return spots
