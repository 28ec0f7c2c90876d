"""A wall's cables on a map: who feeds what, from the audience's side or mirrored from the rear."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seamwalk.domain.checks.wall_map import wall_map
from seamwalk.domain.sheet.cables import TileCables, tile_cables
from seamwalk.domain.wall.wall import Wall
from seamwalk.web.office.drawing import CELL, MARGIN

_APART = 7.0


@dataclass(frozen=True)
class CableTile:
    """A tile on the map with its cables, and whether it is the last of its data run."""

    id: str
    x: float
    y: float
    w: float
    h: float
    cables: TileCables
    last_of_run: bool


@dataclass(frozen=True)
class CableMap:
    """Tiles, and each circuit's and each run's cable as a line from tile to tile with its start."""

    width: float
    height: float
    tiles: tuple[CableTile, ...]
    power_lines: tuple[str, ...]
    data_lines: tuple[str, ...]
    power_feeds: tuple[tuple[float, float], ...]
    data_feeds: tuple[tuple[float, float], ...]


def cable_map(wall: Wall, worked_out: dict[str, Any], *, rear: bool) -> CableMap:
    """Lay out tiles and cables; power runs a little above the middle of the tiles, data below it."""
    layout = wall_map(wall, ())
    width = layout.columns * CELL
    circuits = [circuit["tiles"] for circuit in (worked_out["power"] or {"circuits": []})["circuits"]]
    runs = (worked_out["data"] or {"runs": []})["runs"]
    cables, lasts = tile_cables(worked_out), {run[-1] for run in runs}
    tiles = []
    for box in layout.boxes:
        left = width - (box.x + box.w) * CELL if rear else box.x * CELL
        at = (MARGIN + left, MARGIN + box.y * CELL, box.w * CELL, box.h * CELL)
        tiles.append(CableTile(box.id, *at, cables.get(box.id, TileCables()), box.id in lasts))
    middles = {tile.id: (tile.x + tile.w / 2, tile.y + tile.h / 2) for tile in tiles}

    def path(run: Sequence[str], apart: float) -> list[tuple[float, float]]:
        return [(middles[tile][0] + apart, middles[tile][1] + apart) for tile in run]

    power, data = [path(run, -_APART) for run in circuits], [path(run, _APART) for run in runs]
    return CableMap(
        width + 2 * MARGIN,
        layout.rows * CELL + 2 * MARGIN,
        tuple(tiles),
        _as_points(power),
        _as_points(data),
        tuple(line[0] for line in power),
        tuple(line[0] for line in data),
    )


def _as_points(lines: Sequence[Sequence[tuple[float, float]]]) -> tuple[str, ...]:
    return tuple(" ".join(f"{x:g},{y:g}" for x, y in line) for line in lines)
