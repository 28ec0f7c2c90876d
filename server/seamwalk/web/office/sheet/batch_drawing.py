"""Cases and batches on a map: which case each tile comes out of, and where two batches meet."""

from dataclasses import dataclass
from typing import Any

from seamwalk.domain.checks.wall_map import wall_map
from seamwalk.domain.wall.wall import Wall
from seamwalk.web.office.drawing import CELL, MARGIN


@dataclass(frozen=True)
class BatchTile:
    """A tile with its case and batch, "" where the stock has none for it."""

    id: str
    x: float
    y: float
    w: float
    h: float
    case: str
    batch: str


@dataclass(frozen=True)
class BatchMap:
    """Tiles, the borders between two batches, and the joints over the planner's guide, as paths."""

    width: float
    height: float
    tiles: tuple[BatchTile, ...]
    borders: str
    over: str


def batch_map(wall: Wall, worked_out: dict[str, Any], *, rear: bool) -> BatchMap | None:
    """Lay out the tiles; None without a stock."""
    batches = worked_out["batches"]
    if batches is None:
        return None
    layout = wall_map(wall, ())
    placed = {tile: (p["case"], p["batch"]) for p in batches["placings"] for tile in p["tiles"]}
    over = {frozenset(meeting["cases"]) for meeting in batches["meetings"] if meeting["over"]}
    width = layout.columns * CELL

    def across(x: float) -> float:
        return MARGIN + (width - x * CELL if rear else x * CELL)

    tiles = tuple(
        BatchTile(
            box.id,
            across(box.x + box.w if rear else box.x),
            MARGIN + box.y * CELL,
            box.w * CELL,
            box.h * CELL,
            *placed.get(box.id, ("", "")),
        )
        for box in layout.boxes
    )
    borders, too_far = [], []
    for joint in wall.joints:
        if joint.kind in ("side", "stack"):
            (case, batch), (other_case, other_batch) = (placed.get(t, ("", "")) for t in joint.tiles)
            x, y = joint.column - (joint.kind == "stack"), layout.rows - joint.row
            up = joint.cells if joint.kind == "side" else 0
            line = f"M{across(x):g} {MARGIN + (y + (up > 0)) * CELL:g}"
            line += f"v{-up * CELL:g}" if up else f"H{across(x + joint.cells):g}"
            if batch != other_batch:
                borders.append(line)
            if frozenset((case, other_case)) in over:
                too_far.append(line)
    return BatchMap(
        width + 2 * MARGIN, layout.rows * CELL + 2 * MARGIN, tiles, "".join(borders), "".join(too_far)
    )
