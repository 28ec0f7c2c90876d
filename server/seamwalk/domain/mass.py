"""What a wall weighs, column by column, and where its centre of mass is.

Frame of the centre: x along the chord from the audience's left end, y towards the audience from the chord,
height from the underside of the lowest row; mm. A tile's mass is taken to sit in the middle of its body.
"""

from dataclasses import dataclass

from seamwalk.domain.curve import Curve, Point
from seamwalk.domain.grid import PlacedTile, cell_size_mm
from seamwalk.domain.hardware import Hardware
from seamwalk.domain.wall import Wall


@dataclass(frozen=True)
class Mass:
    """Masses in kg; hardware and total are None where a weight is not given, and `missing` names it."""

    tiles_kg: float
    columns_kg: tuple[float, ...]
    hardware_kg: float | None
    missing: tuple[str, ...]
    centre_mm: tuple[float, float, float]

    @property
    def total_kg(self) -> float | None:
        """Tiles and hardware together."""
        return None if self.hardware_kg is None else self.tiles_kg + self.hardware_kg


def weigh(wall: Wall, curve: Curve, hardware: Hardware) -> Mass:
    """Weigh a wall."""
    columns = [0.0] * wall.plan.columns
    for tile in wall.tiles:
        for column in range(tile.column, tile.column + tile.w):
            columns[column - 1] += tile.type.mass_kg / tile.w
    given = wall.plan.hardware
    wanted = (
        ("hardware.base_bar_kg", hardware.base_bars, given.base_bar_kg),
        ("hardware.clamp_kg", hardware.clamps, given.clamp_kg),
        ("hardware.support_kg", hardware.supports, given.support_kg),
    )
    missing = tuple(field for field, count, kg in wanted if count and kg is None)
    parts = None if missing else sum(count * (kg or 0.0) for _, count, kg in wanted)
    tiles = sum(tile.type.mass_kg for tile in wall.tiles)
    return Mass(tiles, tuple(columns), parts, missing, _centre(wall, curve, tiles))


def _centre(wall: Wall, curve: Curve, total_kg: float) -> tuple[float, float, float]:
    _, cell_h = cell_size_mm(wall.plan)
    x = y = height = 0.0
    for tile in wall.tiles:
        at = _middle(tile, curve)
        x += tile.type.mass_kg * at[0]
        y += tile.type.mass_kg * at[1]
        height += tile.type.mass_kg * (tile.row - 1 + tile.h / 2) * cell_h
    return (x / total_kg, y / total_kg, height / total_kg)


def _middle(tile: PlacedTile, curve: Curve) -> Point:
    bodies = curve.bodies[tile.column - 1 : tile.column - 1 + tile.w]
    corners = [corner for body in bodies for corner in body]
    return (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
